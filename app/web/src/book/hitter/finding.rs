//! Where the work is now, with the evidence, for each side of the plate and each
//! skill that was looked at. The rule is `coaching`'s.

use crate::parts::{Leaf, entry_heading, group, line, said, way};
use crate::state::{LookRead, Profile};
use crate::words::{counted, when};
use coaching::check::{Phase, Skill};
use coaching::checklist::CheckList;
use coaching::looks::{Evidence, Finding, Look, Looks};
use coaching::progress::most_missing;
use coaching::vocabulary::{Answer, Side};
use leptos::prelude::*;
use notebook::{Code, Stamp};

/// What the looks from one side say of one skill.
pub struct OfSide {
    /// What to call it; empty when there is only one.
    pub title: String,
    /// The items.
    pub list: CheckList<'static>,
    /// What the looks say together.
    pub looks: Looks,
    /// When each look was, oldest first.
    pub made: Vec<Stamp>,
}

/// The looks parted by side and skill, as a hitter who bats both ways has a
/// result for each. One part, without any look, when there is none.
pub fn by_side(profile: &Profile) -> Vec<OfSide> {
    let mut sides: Vec<&Code> = Vec::new();
    // The side looked at last comes first.
    for look in profile.looks.iter().rev() {
        if !sides.contains(&&look.check.context.side) {
            sides.push(&look.check.context.side);
        }
    }
    let mut parts = Vec::new();
    for side in &sides {
        for skill in Skill::ALL {
            parts.extend(one_part(profile, side, *skill));
        }
    }
    if parts.is_empty() {
        let list = CheckList::built_in(Skill::Swing);
        parts.push(OfSide {
            title: String::new(),
            looks: Looks::of(&list, &[]),
            list,
            made: Vec::new(),
        });
    }
    if let [only] = parts.as_mut_slice() {
        only.title.clear();
    }
    parts
}

fn one_part(profile: &Profile, side: &Code, skill: Skill) -> Option<OfSide> {
    let list = CheckList::built_in(skill);
    let given: Vec<(&LookRead, Vec<(&str, Answer)>)> = profile
        .looks
        .iter()
        .map(|look| (look, look.from_side(side)))
        .filter(|(_, answers)| !answers.is_empty())
        .collect();
    let is_item = |id: &str| list.items.iter().any(|item| item.id == id);
    let any = given
        .iter()
        .any(|(_, answers)| answers.iter().any(|(id, _)| is_item(id)));
    // A look that only asked the questions before was begun for the swing.
    if !any && skill != Skill::Swing {
        return None;
    }
    let looks: Vec<Look> = given
        .iter()
        .map(|(_, answers)| answers.as_slice())
        .collect();
    let batted = Side::from_id(side.as_str()).map_or("", Side::name);
    Some(OfSide {
        title: format!("{}, batting {batted}", skill.name()),
        looks: Looks::of(&list, &looks),
        made: given.iter().map(|(look, _)| look.made()).collect(),
        list,
    })
}

/// The findings.
pub fn where_the_work_is(sides: &[OfSide]) -> AnyView {
    let parts: Vec<AnyView> = sides.iter().map(one_finding).collect();
    view! {
        <section class="block" aria-label="Where the work is">
            <h2>"Where the work is"</h2>
            {parts}
        </section>
    }
    .into_any()
}

fn one_finding(of: &OfSide) -> AnyView {
    let OfSide {
        title, list, looks, ..
    } = of;
    let mut parts = Vec::new();
    if !title.is_empty() {
        parts.push(entry_heading(title.clone()));
    }
    parts.push(said("finding", looks.sentence(list)));
    match &looks.finding {
        Finding::WorkOn { items, .. } => parts.extend(evidence_of(of, items)),
        Finding::CannotTellYet {
            look_at,
            not_yet_once,
            ..
        } => {
            let missing = most_missing(&looks.evidence, look_at);
            parts.push(line(
                "line",
                format!(
                    "To tell: {} more at least, with every item of this phase seen.",
                    counted(missing, "look", "looks")
                ),
            ));
            parts.extend(evidence_of(of, not_yet_once));
        }
        Finding::LookAtApproach { not_yet, .. } => {
            parts.extend(evidence_of(of, not_yet));
            parts.push(line(
                "line",
                "Swings, takes and chases are logged in the session.",
            ));
            parts.push(way(Leaf::Session.path(), "Open the log", "", true));
        }
        Finding::StopAndRefer { .. } | Finding::SettleFirst { .. } | Finding::AllClear => {}
    }
    if looks.looks > 0 {
        parts.push(phases(of));
    }
    group(parts)
}

/// The states of the four phases, a line each.
fn phases(of: &OfSide) -> AnyView {
    let rows = Phase::ALL
        .iter()
        .zip(of.looks.phases)
        .map(|(phase, state)| {
            let name = of.list.skill.phase_name(*phase);
            view! {
                <li>
                    {format!("{}. {name}: ", phase.number())} <strong>{state.words()}</strong>
                </li>
            }
            .into_any()
        });
    let rows: Vec<AnyView> = rows.collect();
    view! { <ul class="phases">{rows}</ul> }.into_any()
}

/// Which looks said what, of these items.
fn evidence_of(of: &OfSide, items: &[usize]) -> Vec<AnyView> {
    let one = |place: &usize| {
        let item = of.list.items.get(*place)?;
        let evidence = of.looks.evidence.get(*place)?;
        Some(group(vec![
            entry_heading(item.title),
            line("line", evidence.sentence()),
            line("line", which_looks(evidence, &of.made)),
        ]))
    };
    items.iter().filter_map(one).collect()
}

/// So many looks are named, the latest.
const NAMED: usize = 3;

fn which_looks(evidence: &Evidence, made: &[Stamp]) -> String {
    let mut said = Vec::new();
    for (answer, looks) in [
        (Answer::NotYet, &evidence.not_yet),
        (Answer::Yes, &evidence.yes),
    ] {
        let named: Vec<String> = looks
            .iter()
            .rev()
            .take(NAMED)
            .filter_map(|look| made.get(*look).map(|stamp| when(*stamp)))
            .collect();
        if !named.is_empty() {
            said.push(format!("{}: {}.", answer.name(), named.join("; ")));
        }
    }
    said.join(" ")
}
