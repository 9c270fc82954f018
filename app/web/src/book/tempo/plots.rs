//! Reps by set against the target band, and the days' means, as drawings with a
//! table behind each.

use super::numbers::{band, named};
use super::run::Tempo;
use super::sets::{Set, sets};
use super::trend;
use crate::parts::{group, heading, line, live, table};
use crate::words::{fixed, when_ms};
use coaching::tempo::numbers::SetNumbers;
use leptos::prelude::*;

/// Drawings are this wide inside; on a phone of 360 px one unit is near one px, so
/// that text of 14 units is above 12 px.
pub(super) const WIDE: f64 = 320.0;
const HIGH: f64 = 220.0;
pub(super) const LEFT: f64 = 40.0;
const TOP: f64 = 18.0;
pub(super) const BOTTOM: f64 = 184.0;
/// How many sets, and how many days, are drawn: the latest.
pub(super) const DRAWN: usize = 6;

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    live(move || {
        let Some(reps) = tempo.recent.get() else {
            return line("line", "Reading the counts…");
        };
        let all = sets(&reps);
        if all.is_empty() {
            return line("line", "No count yet, so nothing is drawn.");
        }
        let (target_s, band_s) = (tempo.target().seconds(), band(tempo).seconds());
        let latest = &all[all.len().saturating_sub(DRAWN)..];
        group(vec![
            heading("Reps by set"),
            line(
                "line",
                "Each ring is a rep, a cross one far off, the bar the mean. The hatched band is the \
                 target.",
            ),
            strip(latest, target_s, band_s),
            behind("Reps by set, seconds", latest, |set| {
                let counts: Vec<String> = set.counts_s.iter().map(|s| fixed(*s, 2)).collect();
                counts.join(", ")
            }),
            heading("Over the days"),
            trend::view(&all, target_s, band_s),
        ])
    })
}

/// Seconds to the drawing's height.
pub(super) struct Scale {
    low_s: f64,
    high_s: f64,
}

impl Scale {
    pub(super) fn of(values_s: impl Iterator<Item = f64>, target_s: f64, band_s: f64) -> Self {
        let (low_s, high_s) = values_s
            .fold((target_s - band_s, target_s + band_s), |(low, high), s| {
                (low.min(s), high.max(s))
            });
        Self {
            low_s: ((low_s - 0.05) * 5.0).floor() / 5.0,
            high_s: ((high_s + 0.05) * 5.0).ceil() / 5.0,
        }
    }

    pub(super) fn y(&self, s: f64) -> f64 {
        BOTTOM - (s - self.low_s) / (self.high_s - self.low_s) * (BOTTOM - TOP)
    }

    /// Whole steps, about five of them.
    fn ticks(&self) -> Vec<f64> {
        let wide = self.high_s - self.low_s;
        let step = if wide <= 1.0 {
            0.2
        } else if wide <= 2.5 {
            0.5
        } else {
            1.0
        };
        let first = (self.low_s / step - 1e-9).ceil();
        let steps = ((self.high_s / step + 1e-9).floor() - first) as usize;
        (0..=steps).map(|n| (first + n as f64) * step).collect()
    }
}

/// The frame: ticks with their numbers, and the target's band.
pub(super) fn ground(scale: &Scale, target_s: f64, band_s: f64) -> AnyView {
    let ticks: Vec<AnyView> = scale
        .ticks()
        .into_iter()
        .map(|s| {
            let y = scale.y(s);
            view! {
                <line class="tempo-tick" x1=LEFT x2=WIDE y1=y y2=y />
                <text x=LEFT - 6.0 y=y + 5.0 text-anchor="end">
                    {fixed(s, 1)}
                </text>
            }
            .into_any()
        })
        .collect();
    let (top, bottom) = (scale.y(target_s + band_s), scale.y(target_s - band_s));
    view! {
        <defs>
            <pattern
                id="tempo-hatch"
                width="7"
                height="7"
                patternUnits="userSpaceOnUse"
                patternTransform="rotate(45)"
            >
                <line class="tempo-tick" x1="0" x2="0" y1="0" y2="7" />
            </pattern>
        </defs>
        <rect x=LEFT y=top width=WIDE - LEFT height=bottom - top fill="url(#tempo-hatch)" />
        {ticks}
        <line class="tempo-target" x1=LEFT x2=WIDE y1=scale.y(target_s) y2=scale.y(target_s) />
        <text x=2 y=BOTTOM + 16.0>
            "s"
        </text>
    }
    .into_any()
}

pub(super) fn drawing(label: String, inside: Vec<AnyView>) -> AnyView {
    view! {
        <svg class="tempo-plot" viewBox=format!("0 0 {WIDE} {HIGH}") role="img" aria-label=label>
            {inside}
        </svg>
    }
    .into_any()
}

fn strip(sets: &[Set], target_s: f64, band_s: f64) -> AnyView {
    let all = sets.iter().flat_map(|set| set.counts_s.iter().copied());
    let scale = Scale::of(all, target_s, band_s);
    let wide = (WIDE - LEFT) / sets.len() as f64;
    let mut inside = vec![ground(&scale, target_s, band_s)];
    for (place, set) in sets.iter().enumerate() {
        let from = LEFT + wide * place as f64;
        let Some(numbers) = SetNumbers::of(&set.counts_s) else {
            continue;
        };
        for (n, count_s) in set.counts_s.iter().enumerate() {
            let share = (n as f64 + 0.5) / set.counts_s.len() as f64;
            let (x, y) = (from + wide * (0.1 + 0.8 * share), scale.y(*count_s));
            inside.push(if numbers.far_off.contains(&n) {
                let path = format!("M{} {}l8 8m0 -8l-8 8", x - 4.0, y - 4.0);
                view! { <path class="tempo-far" d=path /> }.into_any()
            } else {
                view! { <circle class="tempo-rep" cx=x cy=y r="3.5" /> }.into_any()
            });
        }
        let y = scale.y(numbers.set.mean_s);
        inside.push(
            view! { <line class="tempo-mean" x1=from + 0.1 * wide x2=from + 0.9 * wide y1=y y2=y /> }
                .into_any(),
        );
        inside.push(written(
            from + wide / 2.0,
            BOTTOM + 16.0,
            (place + 1).to_string(),
        ));
        inside.push(written(
            from + wide / 2.0,
            BOTTOM + 32.0,
            format!("n {}", set.counts_s.len()),
        ));
    }
    drawing(
        format!("Reps of the latest {} sets against the target", sets.len()),
        inside,
    )
}

pub(super) fn written(x: f64, y: f64, text: String) -> AnyView {
    view! {
        <text x=x y=y text-anchor="middle">
            {text}
        </text>
    }
    .into_any()
}

/// The sets as a table, named as on the drawing.
fn behind(caption: &'static str, sets: &[Set], of: fn(&Set) -> String) -> AnyView {
    let rows = sets.iter().enumerate().map(|(place, set)| {
        vec![
            (place + 1).to_string(),
            format!("{}, {}", named(set), when_ms(set.made_ms)),
            of(set),
        ]
    });
    let rows = rows.collect();
    view! { <div class="tempo-table">{table(caption, &["", "Set", "Counts"], rows)}</div> }
        .into_any()
}
