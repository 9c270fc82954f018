//! What the answers say: the earliest phase in need with its evidence, or what to
//! look at again; and where to go from there.

use super::{Page, Shown};
use crate::parts::{Leaf, act, group, heading, line, live, sheet, way};
use coaching::check::{BEFORE, Phase};
use coaching::checklist::CheckList;
use coaching::looks::{Finding, Looks};
use coaching::screening::Standing;
use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// The result.
pub fn result() -> AnyView {
    let page = expect_context::<Page>();
    live(move || page.found(|list, together, one| told(page, list, together, one)))
}

fn told(page: Page, list: &CheckList, together: &Looks, one: &Looks) -> AnyView {
    let mut parts = Vec::new();
    let stops = |looks: &Looks| matches!(looks.finding, Finding::StopAndRefer { .. });
    let all = format!("All looks ({})", together.looks);
    let this = "This look".to_owned();
    parts.push(finding(this, one.sentence(list)));
    parts.extend(minded(page));
    if stops(together) || stops(one) {
        if !stops(one) {
            parts.push(finding(all, together.sentence(list)));
        }
        parts.push(act_back(page));
        return group(parts);
    }
    if together.looks > 1 {
        parts.push(finding(all, together.sentence(list)));
    } else {
        parts.push(line(
            "line",
            "One look is a first sign. Look again on another day: twice the same answer settles an item.",
        ));
    }
    parts.push(ways(one, together));
    parts.push(heading("Phases"));
    let [now, so_far] = [one, together].map(Looks::standings);
    let states = Phase::ALL.iter().map(|phase| {
        let words = |standings: &[Standing; 4]| {
            standings[phase.index()].words(|phase| list.skill.phase_name(phase))
        };
        let text = if together.looks > 1 {
            format!("This look: {}. All looks: {}.", words(&now), words(&so_far))
        } else {
            format!("{}.", words(&now))
        };
        (list.skill.phase_name(*phase), text)
    });
    parts.push(sheet(states.collect()));
    if let Some(phase) = at_work(together).or_else(|| at_work(one)) {
        parts.push(heading("Evidence"));
        parts.push(line("line", list.skill.phase_name(phase)));
        let rows = list.phase(phase).map(|(place, item)| {
            let evidence = &together.evidence[place];
            let looked = [&evidence.yes, &evidence.not_yet, &evidence.not_seen];
            let text = if looked.iter().all(|looks| looks.is_empty()) {
                "Not looked at yet.".to_owned()
            } else {
                format!("{}. {}", evidence.state.words(), evidence.sentence())
            };
            let title = item.title.to_owned();
            view! {
                <li>
                    <strong>{title}</strong>
                    <br />
                    {text}
                </li>
            }
            .into_any()
        });
        let rows: Vec<AnyView> = rows.collect();
        parts.push(view! { <ul class="looks">{rows}</ul> }.into_any());
    }
    parts.push(act_back(page));
    group(parts)
}

fn finding(of: String, said: String) -> AnyView {
    view! {
        <div class="finding" role="status">
            <p>{of}</p>
            <p>{said}</p>
        </div>
    }
    .into_any()
}

/// What to do about the questions that this look answered with "not yet".
fn minded(page: Page) -> Vec<AnyView> {
    let not_yet = BEFORE.iter().filter(|question| {
        !question.stops && page.looking.answer_to(question.id) == Some(Answer::NotYet)
    });
    not_yet
        .map(|question| line("line caution", question.if_not))
        .collect()
}

/// The phase that a finding is about.
fn at_work(looks: &Looks) -> Option<Phase> {
    match &looks.finding {
        Finding::WorkOn { phase, .. } | Finding::CannotTellYet { phase, .. } => Some(*phase),
        Finding::LookAtApproach { .. } => Some(Phase::Approach),
        Finding::StopAndRefer { .. } | Finding::SettleFirst { .. } | Finding::AllClear => None,
    }
}

/// Where to go from the result: the cards that answer it, the log of pitches.
fn ways(one: &Looks, together: &Looks) -> AnyView {
    let mut ways = Vec::new();
    let is_approach = |looks: &Looks| matches!(looks.finding, Finding::LookAtApproach { .. });
    if is_approach(one) || is_approach(together) {
        ways.push(way(
            Leaf::Session.path(),
            "Open the log of pitches",
            "main",
            true,
        ));
    }
    if !one.to_work_on().is_empty() || !together.to_work_on().is_empty() {
        ways.push(way(
            Leaf::Cards.path(),
            "Drill cards for this",
            "main",
            true,
        ));
    }
    group(ways)
}

fn act_back(page: Page) -> AnyView {
    let n = page.cards.with(Vec::len);
    let cards = page.cards.get();
    let open = cards
        .iter()
        .position(|card| page.looking.answer_to(&card.id).is_none());
    let go_on = open.map(|place| {
        let go = Callback::new(move |()| {
            page.place.set(place);
            page.shown.set(Shown::Run);
        });
        act("Go on with this look", "wide", go)
    });
    let back = Callback::new(move |()| {
        page.place.set(n.saturating_sub(1));
        page.shown.set(Shown::Run);
    });
    let new_look = Callback::new(move |()| {
        page.looking.new_look();
        page.shown.set(Shown::Run);
        page.place.set(0);
    });
    let back = go_on.unwrap_or_else(|| act("Back to the last item", "wide", back));
    group(vec![back, act("Begin a new look", "wide", new_look)])
}
