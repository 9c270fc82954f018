//! Whether two observers of this hitter see the same.

use super::Page;
use crate::parts::{group, line, live, said};
use crate::words::counted;
use coaching::agreement::{PAIRED, Pairs, paired};
use coaching::check::BEFORE;
use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// Agreement over all pairs of looks, in words.
pub fn agreement() -> AnyView {
    let page = expect_context::<Page>();
    live(move || {
        let skill = page.looking.skill.get();
        let looks = page.looking.looks.get().and_then(Result::ok);
        let mut looks = looks.unwrap_or_default();
        looks.retain(|look| look.skill() == skill);
        let when: Vec<_> = looks
            .iter()
            .map(|look| (look.observer(), look.begun_s()))
            .collect();
        let pairs = paired(&when);
        // What one is told of pain or eyesight is no looking.
        let seen = |place: usize| -> Vec<(&str, Answer)> {
            let mut answers = looks[place].borrowed();
            answers.retain(|(id, _)| BEFORE.iter().all(|question| question.id != *id));
            answers
        };
        let first = pairs.iter().copied();
        let all = first.fold(Pairs::default(), |all, (one, other)| {
            // Rows are the observer who comes first by name, whoever looked first.
            let (one, other) = if looks[one].observer().0 <= looks[other].observer().0 {
                (one, other)
            } else {
                (other, one)
            };
            all.and(Pairs::of(&seen(one), &seen(other)))
        });
        let n = counted(pairs.len(), "pair of looks", "pairs of looks");
        group(vec![
            said("finding", format!("{n}. {}", all.sentence())),
            line("line", PAIRED),
            line(
                "line",
                "Questions about pain, eyes, bat and rest do not count here. The second observer is chosen above, or looks on another phone of this notebook.",
            ),
        ])
    })
}
