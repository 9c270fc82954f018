//! Two sessions of the chosen hitter side by side, with the difference and its
//! interval.

use super::{called, one};
use crate::parts::{group, line, live, refusal, said, selection, table};
use crate::state::Desk;
use crate::state::contacts::{Ball, HitterSession, groups_of};
use coaching::challenge::{Band, Challenge};
use coaching::contact::Contact;
use coaching::contact::fan::Third;
use coaching::contact::lean::{HeightPart, Three};
use leptos::prelude::*;
use notebook::Session;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// How many sessions of the hitter can be chosen from.
const LATEST: usize = 30;

/// The choice of two, and the two beside each other.
pub fn view(sessions: Arc<Vec<Session>>) -> AnyView {
    let desk = expect_context::<Desk>();
    let read = RwSignal::new(None);
    Effect::new(move |_| {
        let Some(hitter) = desk.chosen.get() else {
            read.set(None);
            return;
        };
        spawn_local(async move {
            let found = desk.sessions_of(hitter, LATEST).await;
            if desk.chosen.get_untracked() == Some(hitter) {
                // The page may be gone by then.
                read.try_set(Some(found.map(Arc::new)));
            }
        });
    });
    let inside = move || match (desk.hitter(), read.get()) {
        (None, _) => line("line", "Choose a hitter on the roster to compare sessions."),
        (_, None) => said("line", "Reading this hitter's sessions…"),
        (_, Some(Err(error))) => refusal(error.to_string()),
        (Some(hitter), Some(Ok(found))) => match found.len() {
            0 | 1 => line(
                "line",
                format!(
                    "Two sessions of {} are needed to compare.",
                    hitter.name.get()
                ),
            ),
            _ => group(vec![
                line("line", format!("Of {}:", hitter.name.get())),
                chosen_two(sessions.clone(), found),
            ]),
        },
    };
    group(vec![
        view! { <h2>"Compare two sessions"</h2> }.into_any(),
        live(inside),
    ])
}

fn chosen_two(sessions: Arc<Vec<Session>>, found: Arc<Vec<HitterSession>>) -> AnyView {
    let options: Vec<(String, String)> = found
        .iter()
        .enumerate()
        .map(|(place, part)| {
            let session = sessions.iter().find(|s| s.head.id == part.session);
            let name = session.map_or_else(|| crate::words::when_ms(part.begun_ms), called);
            (place.to_string(), name)
        })
        .collect();
    let options = Signal::stored(options);
    // The one before beside the latest.
    let two = RwSignal::new([1_usize, 0]);
    let pick = move |which: usize, label: &'static str| {
        selection(
            label,
            false,
            options,
            Signal::derive(move || two.get()[which].to_string()),
            Callback::new(move |place: String| {
                if let Ok(place) = place.parse() {
                    two.update(|two| two[which] = place);
                }
            }),
        )
    };
    let beside = move || {
        let [before, after] = two.get().map(|place| found.get(place).cloned());
        match (before, after) {
            (Some(before), Some(after)) => {
                let session = sessions.iter().find(|s| s.head.id == after.session);
                let rule = session
                    .map(one::rule_of)
                    .unwrap_or(coaching::challenge::SuccessRule::USUAL);
                compared(&before.balls, &after.balls, rule)
            }
            _ => group(vec![]),
        }
    };
    group(vec![pick(0, "First"), pick(1, "Second"), live(beside)])
}

fn compared(before: &[Ball], after: &[Ball], rule: coaching::challenge::SuccessRule) -> AnyView {
    let both = [before, after];
    let row = |name: &str, of: &dyn Fn(&[Ball]) -> String| {
        let mut row = vec![name.to_owned()];
        row.extend(both.map(of));
        row
    };
    let mut rows = vec![
        row("Balls", &|balls| balls.len().to_string()),
        row("Swings", &|balls| {
            let swings = balls.iter().filter(|ball| ball.contact.result.is_swing());
            swings.count().to_string()
        }),
        row("Success", &|balls| rule.share(&contacts(balls)).words()),
    ];
    for third in Third::ALL {
        rows.push(row(third.name(), &|balls| {
            sum(balls, |group| group.directions)
                .share(*third as usize)
                .words()
        }));
    }
    for part in HeightPart::ALL {
        rows.push(row(part.name(), &|balls| {
            sum(balls, |group| group.heights)
                .share(*part as usize)
                .words()
        }));
    }
    // The interval of a difference of two shares is the same whatever they are of.
    let difference = Challenge {
        session: rule.share(&contacts(after)),
        game: rule.share(&contacts(before)),
        band: Band::default(),
    };
    let said = match (difference.difference(), difference.interval()) {
        (Some(by), Some(interval)) => {
            let [by, low, high] = [by, interval.low, interval.high].map(|share| 100.0 * share);
            let sure = match (low > 0.0, high < 0.0) {
                (true, _) => "More in the second.",
                (_, true) => "Less in the second.",
                _ => "Chance alone may give as much.",
            };
            format!(
                "Success ({}), second minus first: {} points ({} to {}). {sure} Environments may differ: see each session.",
                rule.name(),
                crate::words::fixed(by, 0),
                crate::words::fixed(low, 0),
                crate::words::fixed(high, 0)
            )
        }
        _ => "Not enough swings to compare.".to_owned(),
    };
    group(vec![
        table("", &["", "First", "Second"], rows),
        line("finding", said),
    ])
}

fn contacts(balls: &[Ball]) -> Vec<Contact> {
    balls.iter().map(|ball| ball.contact).collect()
}

fn sum(balls: &[Ball], of: impl Fn(&coaching::contact::lean::Group) -> Three) -> Three {
    let mut sum = Three::default();
    for group in groups_of(balls) {
        for (all, own) in sum.counts.iter_mut().zip(of(&group).counts) {
            *all += own;
        }
    }
    sum
}
