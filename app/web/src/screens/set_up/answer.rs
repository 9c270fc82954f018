//! The answer: place and speed, what the hitter sees of it against the game
//! pitch, and, where nothing matches, why.

use super::{Asked, SHORT_CAUTION};
use crate::parts::{Units, group, line, live, refusal, speed, table, tape};
use crate::state::Answer;
use crate::words::{base_side, fixed, steeper};
use flight::{
    CannotMatch, Component, Field, Leftover, Limit, LimitEnd, MatchError, Seen, Solution, Speed,
    SpeedUnit, Spin, UnitSystem, allowed,
};
use leptos::prelude::*;

/// Distance, height and speed, large.
pub fn figures(found: &Solution) -> AnyView {
    let figure = |name: &'static str, text: String| {
        view! {
            <div>
                <dt>{name}</dt>
                <dd>{units_small(&text)}</dd>
            </div>
        }
    };
    view! {
        <dl class="figures">
            {figure("Machine at", tape(found.distance_ft))} {figure("Height", tape(found.height_ft))}
            {figure("Speed", speed(found.speed_mph))}
        </dl>
    }
    .into_any()
}

/// Numbers large, units small.
fn units_small(text: &str) -> Vec<AnyView> {
    text.split(' ')
        .enumerate()
        .map(|(place, word)| match place % 2 {
            0 => word.to_owned().into_any(),
            _ => view! { <small>{format!(" {word} ")}</small> }.into_any(),
        })
        .collect()
}

/// "0 ft 11 in to the third-base side", or "in line" within half an inch.
pub fn side_of(side_ft: f64) -> String {
    if side_ft.abs() < 0.04 {
        return "In line with the plate".to_owned();
    }
    format!("{} to the {}", tape(side_ft.abs()), base_side(side_ft))
}

/// What is left over, in words, the largest parts of it; "like the pitch" when
/// nothing is.
pub fn seen_against(found: &Solution) -> String {
    let Leftover {
        time_s,
        descent_deg,
        side_angle_deg,
        ..
    } = found.leftover;
    let mut parts = Vec::new();
    let ms = 1000.0 * time_s;
    if ms.abs() >= 0.5 {
        let way = if ms > 0.0 { "later" } else { "sooner" };
        parts.push(format!("{} ms {way}", fixed(ms.abs(), 0)));
    }
    if descent_deg.abs() >= 0.05 {
        parts.push(steeper(descent_deg));
    }
    if side_angle_deg.abs() >= 0.05 {
        parts.push(format!(
            "{}° more toward the {}",
            fixed(side_angle_deg.abs(), 1),
            base_side(side_angle_deg)
        ));
    }
    match parts.is_empty() {
        true => "like the pitch in time and angles".to_owned(),
        false => parts.join(", "),
    }
}

/// Why nothing matches, in a sentence without its full stop.
pub fn reason(answer: &Answer) -> String {
    match answer {
        Answer::Found(_) => String::new(),
        Answer::None(MatchError::CannotMatch(cannot)) => cannot_match(cannot),
        Answer::None(MatchError::NothingReaches { .. }) => {
            "From nowhere in the room does a ball of this machine reach the target".to_owned()
        }
        Answer::None(error) => error.to_string(),
    }
}

fn cannot_match(cannot: &CannotMatch) -> String {
    let misses: Vec<&str> = cannot
        .misses
        .iter()
        .map(|component| match component {
            Component::Time => "time",
            Component::Descent => "descent",
            Component::SideAngle => "side angle",
        })
        .collect();
    let mut text = format!(
        "Cannot be matched in {}: the closest comes {}",
        misses.join(" and "),
        seen_against(&cannot.closest)
    );
    let limits: Vec<String> = cannot.limits.iter().map(limit).collect();
    if !limits.is_empty() {
        text += &format!(". In the way: {}", limits.join("; "));
    }
    if cannot.between_marks {
        text += ". A speed between two marks of the dial would match";
    }
    text
}

fn limit(limit: &Limit) -> String {
    let value = match allowed(limit.field).unit {
        "ft" => tape(limit.value),
        "mph" => speed(limit.value),
        unit => format!("{} {unit}", fixed(limit.value, 0)),
    };
    let what = match limit.field {
        Field::FeedDistance => "distance",
        Field::FeedHeight => "height",
        Field::FeedSide => "room to the side",
        Field::FeedSpeed => "speed",
        _ => "spin",
    };
    match limit.end {
        LimitEnd::Least => format!("{what}, {value} at least"),
        LimitEnd::Most => format!("{what}, {value} at most"),
        LimitEnd::Fixed => format!("{what}, fixed at {value}"),
    }
}

/// Place and speed, held in sight while what is asked is changed.
pub fn held() -> AnyView {
    let Asked { answer, .. } = Asked::now();
    view! {
        <div class="held" role="group" aria-label="Set-up">
            {live(move || {
                answer.with(|answer| answer.closest().map_or_else(|| group(vec![]), figures))
            })}
        </div>
    }
    .into_any()
}

/// The rest of the answer.
pub fn view() -> AnyView {
    let Asked { answer, .. } = Asked::now();
    live(move || {
        answer.with(|answer| {
            let found = answer.closest().map(found_view);
            let why = match answer {
                Answer::Found(_) => None,
                none => Some(refusal(format!("{}.", reason(none)))),
            };
            group(found.into_iter().chain(why).collect())
        })
    })
}

fn found_view(found: &Solution) -> AnyView {
    let aim = format!(
        "{}. Aim {}° {} and {}° toward the {}. Heights are from plate level, mound included.",
        side_of(found.side_ft),
        fixed(found.aim_down_deg.abs(), 1),
        if found.aim_down_deg < 0.0 {
            "up"
        } else {
            "down"
        },
        fixed(found.aim_side_deg.abs(), 1),
        base_side(found.aim_side_deg),
    );
    group(vec![
        line("line", aim),
        line("line caution", SHORT_CAUTION),
        beside(found),
    ])
}

/// A speed for a cell that names its unit elsewhere.
pub fn speed_number(mph: f64) -> f64 {
    let unit = match Units::now() {
        UnitSystem::Imperial => SpeedUnit::Mph,
        UnitSystem::Metric => SpeedUnit::KmH,
    };
    Speed::miles_an_hour(mph).in_unit(unit)
}

/// The unit of `speed_number`.
pub fn speed_unit() -> &'static str {
    match Units::now() {
        UnitSystem::Imperial => "mph",
        UnitSystem::Metric => "km/h",
    }
}

/// A difference with its sign; 0 has none.
pub fn signed(value: f64, digits: usize) -> String {
    let text = fixed(value, digits);
    let is_zero = text.bytes().all(|c| matches!(c, b'0' | b'.'));
    match value > 0.0 && !is_zero {
        true => format!("+{text}"),
        false => text,
    }
}

/// Pitch and machine, component by component.
fn beside(found: &Solution) -> AnyView {
    let row = |name: &str, unit: &str, digits, [game, machine]: [f64; 2]| {
        vec![
            format!("{name} {unit}"),
            fixed(game, digits),
            fixed(machine, digits),
            signed(machine - game, digits),
        ]
    };
    let of = |of: fn(&Seen) -> f64| [of(&found.game), of(&found.machine)];
    let spin = |of: fn(&Spin) -> f64| {
        let machine = of(&found.spin);
        [machine - of(&found.leftover_spin), machine]
    };
    let speeds = of(|seen| seen.speed_at_plate_mph).map(speed_number);
    let rows = vec![
        row("Time", "s", 3, of(|seen| seen.time_s)),
        row("Descent", "°", 1, of(|seen| seen.descent_deg)),
        row("Side angle", "°", 1, of(|seen| seen.side_angle_deg)),
        row("Speed", speed_unit(), 1, speeds),
        row("Backspin", "rpm", 0, spin(|spin| spin.backspin_rpm)),
        row("Sidespin", "rpm", 0, spin(|spin| spin.sidespin_rpm)),
    ];
    table("At the plate", &["", "Pitch", "Machine", "Left over"], rows)
}
