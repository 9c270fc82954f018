//! The sets in numbers and sentences.

use super::run::Tempo;
use super::sets::{AT_LEAST, Difference, Numbers, Set, USUAL_BAND_S, difference, outliers, sets};
use crate::parts::{group, line, live, number_field, table};
use crate::state::names;
use crate::words::{counted, fixed, when_ms};
use coaching::vocabulary::Environment;
use flight::{Field, Range};
use leptos::prelude::*;

/// How many sets are listed, newest first.
const LISTED: usize = 12;

/// The band of one tempo that holds, s.
pub fn band_s(tempo: Tempo) -> f64 {
    let own = tempo.desk.hitter_number(names::hitter::TEMPO_BAND);
    own.unwrap_or(USUAL_BAND_S)
}

/// The name of a set's environment.
pub fn named(set: &Set) -> String {
    let known = Environment::from_id(&set.environment);
    known.map_or_else(|| set.environment.clone(), |known| known.name().to_owned())
}

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let band = Range {
        min: 0.05,
        max: 0.5,
        unit: "s",
    };
    group(vec![
        live(move || match tempo.recent.get() {
            None => line("line", "Reading the counts…"),
            Some(reps) => of_sets(&sets(&reps), band_s(tempo)),
        }),
        number_field(
            Field::Count,
            "Band of one tempo",
            Signal::stored(band),
            Signal::derive(move || band_s(tempo)),
            Callback::new(move |seconds: f64| {
                let said = format!("Two sets within {} s are one tempo.", fixed(seconds, 2));
                tempo
                    .desk
                    .set_hitter_number(names::hitter::TEMPO_BAND, seconds, said);
            }),
        ),
        line(
            "line",
            "Two sets are called the same tempo when the test says so (two one-sided t tests at 5 \
             percent), not when no difference is found. Outliers are marked and stay in.",
        ),
    ])
}

fn of_sets(sets: &[Set], band_s: f64) -> AnyView {
    if sets.is_empty() {
        return line("line", "No count yet.");
    }
    let rows = sets.iter().rev().take(LISTED).filter_map(row).collect();
    group(vec![
        line("line", sentence(sets, band_s)),
        view! {
            <div class="tempo-table" tabindex="0" role="region" aria-label="Sets in numbers">
                {table(
                    "Seconds from lift to contact; the latest set first.",
                    &["", "n", "Mean", "SD", "CV", "95 % interval", "Far off"],
                    rows,
                )}
            </div>
        }
        .into_any(),
    ])
}

fn row(set: &Set) -> Option<Vec<String>> {
    let numbers = Numbers::of(&set.counts_s)?;
    let many = numbers.n >= 2;
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "\u{2013}".to_owned());
    let far = outliers(&set.counts_s);
    let far: Vec<String> = far
        .iter()
        .zip(&set.counts_s)
        .filter(|(far, _)| **far)
        .map(|(_, count_s)| fixed(*count_s, 2))
        .collect();
    Some(vec![
        format!("{}, {}", named(set), when_ms(set.made_ms)),
        numbers.n.to_string(),
        fixed(numbers.mean_s, 2),
        or_dash(many.then(|| fixed(numbers.sd_s, 2))),
        or_dash(many.then(|| format!("{} %", fixed(numbers.cv_percent(), 0)))),
        or_dash(numbers.half_interval_s().map(|half_s| {
            let (low_s, high_s) = (numbers.mean_s - half_s, numbers.mean_s + half_s);
            format!("{} to {}", fixed(low_s, 2), fixed(high_s, 2))
        })),
        if far.is_empty() {
            "none".to_owned()
        } else {
            far.join(", ")
        },
    ])
}

/// The latest two sets compared, or how many reps are missing.
fn sentence(sets: &[Set], band_s: f64) -> String {
    let [.., earlier, later] = sets else {
        return "One set so far: drift is told from two.".to_owned();
    };
    let (Some(a), Some(b)) = (Numbers::of(&earlier.counts_s), Numbers::of(&later.counts_s)) else {
        return String::new();
    };
    let n = format!("n {} and {}", a.n, b.n);
    let Some(found) = difference(&a, &b, band_s) else {
        let missing = |n: usize| AT_LEAST.saturating_sub(n);
        let more = counted(missing(a.n).max(missing(b.n)), "more rep", "more reps");
        return format!("Not yet: {more} in each set before the two latest are compared ({n}).");
    };
    let Difference {
        by_s,
        half_interval_s,
        equivalence_p,
    } = found;
    let interval = format!(
        "95 percent interval {} to {} s, {n}",
        fixed(by_s - half_interval_s, 2),
        fixed(by_s + half_interval_s, 2)
    );
    let way = if by_s < 0.0 { "shorter" } else { "longer" };
    let apart = format!(
        "{} is {} s {way} than {} before it ({interval}).",
        named(later),
        fixed(by_s.abs(), 2),
        named(earlier)
    );
    let differs = by_s.abs() > half_interval_s;
    let verdict = match (equivalence_p < 0.05, differs) {
        (true, false) => format!("The same tempo within {} s.", fixed(band_s, 2)),
        (true, true) => format!(
            "The counts drift, and by less than the band of {} s.",
            fixed(band_s, 2)
        ),
        (false, true) => "The counts drift.".to_owned(),
        (false, false) => {
            "Neither a drift nor the same tempo can be told yet: more reps.".to_owned()
        }
    };
    format!("{apart} {verdict}")
}
