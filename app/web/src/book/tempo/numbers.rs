//! The sets in numbers and sentences.

use super::run::Tempo;
use super::sets::{Set, sets};
use crate::parts::{group, line, live, number_field, table};
use crate::state::names;
use crate::words::{fixed, when_ms};
use coaching::count::SetStats;
use coaching::tempo::drift::Trend;
use coaching::tempo::numbers::SetNumbers;
use coaching::tempo::same::{Band, Compared};
use coaching::vocabulary::Environment;
use flight::{Field, Range};
use leptos::prelude::*;

/// How many sets are listed, newest first.
const LISTED: usize = 12;

/// The band of one tempo that holds: the hitter's own, or else the usual one.
pub fn band(tempo: Tempo) -> Band {
    let own = tempo.desk.hitter_number(names::hitter::TEMPO_BAND);
    own.and_then(|seconds| Band::new(seconds).ok())
        .unwrap_or(Band::USUAL)
}

/// The name of a set's environment.
pub fn named(set: &Set) -> String {
    let known = Environment::from_id(&set.environment);
    known.map_or_else(|| set.environment.clone(), |known| known.name().to_owned())
}

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let range = Range {
        min: Band::LOW_S,
        max: Band::HIGH_S,
        unit: "s",
    };
    group(vec![
        live(move || match tempo.recent.get() {
            None => line("line", "Reading the counts…"),
            Some(reps) => of_sets(&sets(&reps), band(tempo)),
        }),
        number_field(
            Field::Count,
            "Band of one tempo",
            Signal::stored(range),
            Signal::derive(move || band(tempo).seconds()),
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

fn of_sets(sets: &[Set], band: Band) -> AnyView {
    if sets.is_empty() {
        return line("line", "No count yet.");
    }
    let rows = sets.iter().rev().take(LISTED).filter_map(row).collect();
    let mut parts: Vec<AnyView> = sentences(sets, band)
        .into_iter()
        .map(|sentence| line("line", sentence))
        .collect();
    parts.push(
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
    );
    group(parts)
}

fn row(set: &Set) -> Option<Vec<String>> {
    let numbers = SetNumbers::of(&set.counts_s)?;
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "\u{2013}".to_owned());
    let far: Vec<String> = numbers
        .far_off
        .iter()
        .map(|place| fixed(set.counts_s[*place], 2))
        .collect();
    Some(vec![
        format!("{}, {}", named(set), when_ms(set.made_ms)),
        numbers.set.n.to_string(),
        fixed(numbers.set.mean_s, 2),
        or_dash(numbers.set.sd_s.map(|sd_s| fixed(sd_s, 2))),
        or_dash(
            numbers
                .variation
                .map(|share| format!("{} %", fixed(100.0 * share, 0))),
        ),
        or_dash(
            numbers
                .mean_within
                .map(|within| format!("{} to {}", fixed(within.low_s, 2), fixed(within.high_s, 2))),
        ),
        if far.is_empty() {
            "none".to_owned()
        } else {
            far.join(", ")
        },
    ])
}

/// The latest set, the latest two compared, and the trend over the sets listed.
fn sentences(sets: &[Set], band: Band) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(latest) = sets.last()
        && let Some(numbers) = SetNumbers::of(&latest.counts_s)
    {
        said.push(format!("{}: {}", named(latest), numbers.sentence()));
    }
    let [.., earlier, later] = sets else {
        said.push("One set so far: drift is told from two.".to_owned());
        return said;
    };
    if let (Some(a), Some(b)) = (
        SetStats::of(&earlier.counts_s),
        SetStats::of(&later.counts_s),
    ) {
        let pair = format!("{} after {}:", named(later), named(earlier));
        match Compared::of(&a, &b, band) {
            Err(cannot) => said.push(format!("{pair} {}", cannot.sentence())),
            Ok(compared) => {
                said.push(format!("{pair} {}", compared.sentence()));
                said.push(compared.difference.sentence());
            }
        }
    }
    // Another environment is another count until the test above says otherwise: a
    // drift is told within one.
    let alike: Vec<SetStats> = sets
        .iter()
        .filter(|set| set.environment == later.environment)
        .filter_map(|set| SetStats::of(&set.counts_s))
        .collect();
    let alike = &alike[alike.len().saturating_sub(LISTED)..];
    let of = format!("Over the sets of {}:", named(later));
    said.push(match Trend::of(alike) {
        Ok(trend) => format!("{of} {}", trend.sentence()),
        Err(cannot) => format!("{of} drift: {}", cannot.sentence()),
    });
    said
}
