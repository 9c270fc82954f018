//! Where the work is now, with the evidence, for each side of the plate and each
//! skill that was looked at. The rule is `coaching`'s.

use crate::parts::{Leaf, entry_heading, group, line, said, way};
use crate::state::{OfSkill, OneLook, OwnLists, sides_of};
use crate::words::{counted, when};
use coaching::check::{Phase, Skill};
use coaching::looks::{Evidence, Finding, Looks};
use coaching::progress::most_missing;
use coaching::vocabulary::{Answer, Side, Sport};
use leptos::prelude::*;
use notebook::Stamp;

/// What the looks from one side say of one skill.
pub struct OfSide<'a> {
    /// What to call it; empty when there is only one.
    pub title: String,
    /// What they say.
    pub of: OfSkill<'a>,
}

/// The looks parted by side and skill, as a hitter who bats both ways has a
/// result for each. One part, without any look, when there is none.
pub fn by_side<'a>(lists: &'a OwnLists, sport: Sport, looks: &[OneLook]) -> Vec<OfSide<'a>> {
    let mut parts = Vec::new();
    // The side looked at last comes first.
    for side in sides_of(looks) {
        let batted = match Side::from_id(side.as_str()) {
            Some(Side::Left) => "left",
            Some(Side::Right) => "right",
            None => "on a side of a newer version",
        };
        for of in OfSkill::all(lists, sport, looks, side.as_str()) {
            let title = format!("{}, batting {batted}", of.list.skill.name());
            parts.push(OfSide { title, of });
        }
    }
    if parts.is_empty() {
        let list = lists.list(Skill::Swing, sport);
        parts.push(OfSide {
            title: String::new(),
            of: OfSkill {
                looks: Looks::of(&list, &[]),
                list,
                made: Vec::new(),
            },
        });
    }
    if let [only] = parts.as_mut_slice() {
        only.title.clear();
    }
    parts
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

fn one_finding(side: &OfSide) -> AnyView {
    let OfSide { title, of } = side;
    let looks = &of.looks;
    let mut parts = Vec::new();
    if !title.is_empty() {
        parts.push(entry_heading(title.clone()));
    }
    parts.push(said("finding", looks.sentence(&of.list)));
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

/// What may be said of the four phases, a line each.
fn phases(of: &OfSkill) -> AnyView {
    let rows = Phase::ALL
        .iter()
        .zip(of.looks.standings())
        .map(|(phase, standing)| {
            let name = of.list.skill.phase_name(*phase);
            let words = standing.words(|phase| of.list.skill.phase_name(phase));
            view! {
                <li>
                    {format!("{}. {name}: ", phase.number())} <strong>{words}</strong>
                </li>
            }
            .into_any()
        });
    let rows: Vec<AnyView> = rows.collect();
    view! { <ul class="phases">{rows}</ul> }.into_any()
}

/// Which looks said what, of these items.
fn evidence_of(of: &OfSkill, items: &[usize]) -> Vec<AnyView> {
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
