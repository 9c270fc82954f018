//! The days' means of each environment against the target, as drawings with a table
//! behind each.

use super::numbers::named;
use super::plots::{BOTTOM, DRAWN, LEFT, Scale, WIDE, drawing, ground, written};
use super::sets::Set;
use crate::parts::{group, line, small_heading, table};
use crate::words::{fixed, when_ms};
use coaching::count::SetStats;
use leptos::prelude::*;

/// A drawing for each environment that has counts, the latest first: counts of two
/// environments are never one line.
pub fn view(sets: &[Set], target_s: f64, band_s: f64) -> AnyView {
    let mut seen: Vec<&str> = Vec::new();
    for set in sets.iter().rev() {
        if !seen.contains(&set.environment.as_str()) {
            seen.push(&set.environment);
        }
    }
    let each = seen.into_iter().map(|environment| {
        let of_it = sets.iter().filter(|set| set.environment == environment);
        let of_it: Vec<Set> = of_it.cloned().collect();
        let name = of_it.first().map(named).unwrap_or_default();
        group(vec![small_heading(name), days(&of_it, target_s, band_s)])
    });
    group(each.collect())
}

/// The days' means, one point a day.
fn days(sets: &[Set], target_s: f64, band_s: f64) -> AnyView {
    let mut days: Vec<(String, Vec<f64>)> = Vec::new();
    for set in sets {
        let day = when_ms(set.made_ms);
        let day = day.split(',').next().unwrap_or_default().to_owned();
        match days.iter_mut().find(|(known, _)| *known == day) {
            Some((_, counts_s)) => counts_s.extend(&set.counts_s),
            None => days.push((day, set.counts_s.clone())),
        }
    }
    let days = &days[days.len().saturating_sub(DRAWN)..];
    let means: Vec<(&str, SetStats)> = days
        .iter()
        .filter_map(|(day, counts_s)| Some((day.as_str(), SetStats::of(counts_s)?)))
        .collect();
    let rows = means
        .iter()
        .map(|(day, numbers)| {
            vec![
                (*day).to_owned(),
                numbers.n.to_string(),
                fixed(numbers.mean_s, 2),
            ]
        })
        .collect();
    let behind = view! { <div class="tempo-table">{table("Mean count of each day, seconds", &["", "n", "Mean"], rows)}</div> }
        .into_any();
    if means.len() < 2 {
        return group(vec![
            line(
                "line",
                "One day so far: a line over the days is drawn from two.",
            ),
            behind,
        ]);
    }
    let scale = Scale::of(
        means.iter().map(|(_, numbers)| numbers.mean_s),
        target_s,
        band_s,
    );
    let wide = (WIDE - LEFT) / means.len() as f64;
    let places: Vec<(f64, f64)> = means
        .iter()
        .enumerate()
        .map(|(n, (_, numbers))| (LEFT + wide * (n as f64 + 0.5), scale.y(numbers.mean_s)))
        .collect();
    let points: Vec<String> = places
        .iter()
        .map(|(x, y)| format!("{x:.1},{y:.1}"))
        .collect();
    let mut inside = vec![
        ground(&scale, target_s, band_s),
        view! { <polyline class="tempo-mean" fill="none" points=points.join(" ") /> }.into_any(),
    ];
    for ((x, y), (day, numbers)) in places.iter().zip(&means) {
        inside.push(view! { <circle class="tempo-rep" cx=*x cy=*y r="4" /> }.into_any());
        // Day and month: the year is in the table.
        let short: Vec<&str> = day.split(' ').take(2).collect();
        inside.push(written(*x, BOTTOM + 16.0, short.join(" ")));
        inside.push(written(*x, BOTTOM + 32.0, format!("n {}", numbers.n)));
    }
    group(vec![
        drawing(
            "Mean count of each day against the target".to_owned(),
            inside,
        ),
        behind,
    ])
}
