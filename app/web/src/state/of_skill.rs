//! What looks say of a skill, beside the list as the coach has it: own items count,
//! hidden ones do not. The rules are `coaching`'s; the hitter's page and that of the
//! cards stand on the same.

use super::{OneLook, OwnLists};
use coaching::check::{Skill, question};
use coaching::checklist::CheckList;
use coaching::looks::{Look, Looks};
use coaching::vocabulary::{Answer, Sport};
use notebook::{Code, Stamp};

/// What the looks from one side of the plate say of one skill.
#[derive(Debug, Clone)]
pub struct OfSkill<'a> {
    /// The list.
    pub list: CheckList<'a>,
    /// What the looks say together.
    pub looks: Looks,
    /// When each of those looks was, oldest first.
    pub made: Vec<Stamp>,
}

impl<'a> OfSkill<'a> {
    /// Lays looks, oldest first, beside a list; `None` when none of its items was
    /// looked at from this side, but for the swing, which is there always. A look
    /// from the other side says nothing of the items; pain is pain on both.
    pub fn of(list: CheckList<'a>, looks: &[OneLook], side: &str) -> Option<Self> {
        let is_item = |id: &str| list.items.iter().any(|item| item.id == id);
        let mut given: Vec<Vec<(&str, Answer)>> = Vec::new();
        let mut made = Vec::new();
        for look in looks {
            let this_side = look.check.context.side.as_str() == side;
            let mut answers = look.borrowed();
            answers.retain(|(id, _)| question(id).is_some() || (this_side && is_item(id)));
            if !answers.is_empty() {
                given.push(answers);
                made.push(look.check.head.made);
            }
        }
        let any = given.iter().flatten().any(|(id, _)| is_item(id));
        let given: Vec<Look> = given.iter().map(Vec::as_slice).collect();
        let looks = Looks::of(&list, &given);
        (any || list.skill == Skill::Swing).then_some(Self { list, looks, made })
    }

    /// Each skill that was looked at from one side, the swing first and always.
    pub fn all(lists: &'a OwnLists, sport: Sport, looks: &[OneLook], side: &str) -> Vec<Self> {
        let of = |skill: &Skill| Self::of(lists.list(*skill, sport), looks, side);
        Skill::ALL.iter().filter_map(of).collect()
    }

    /// Id and title of each item whose fault drill cards should answer, the first
    /// to work on first.
    pub fn faults(&self) -> impl Iterator<Item = (String, String)> {
        let places = self.looks.to_work_on().iter();
        let items = places.filter_map(|place| self.list.items.get(*place));
        items.map(|item| (item.id.to_owned(), item.title.to_owned()))
    }
}

/// The sides of the plate from which looks were taken, the latest first.
pub fn sides_of(looks: &[OneLook]) -> Vec<Code> {
    let mut sides: Vec<Code> = Vec::new();
    for look in looks.iter().rev() {
        if !sides.contains(&look.check.context.side) {
            sides.push(look.check.context.side.clone());
        }
    }
    sides
}
