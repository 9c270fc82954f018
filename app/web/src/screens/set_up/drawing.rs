//! Game pitch and machine on the same field, to scale: from the side, from
//! above, and the last feet before the plate.

use super::Asked;
use super::answer::reason;
use crate::parts::{group, line, live, refusal, tape};
use crate::state::SetUpQuestion;
use crate::words::fixed;
use flight::units::m_to_ft;
use flight::{Flight, Launch, PLATE_FRONT_IN, Solution};
use leptos::prelude::*;

/// Places on each path.
const POINTS: usize = 40;
/// Feet before the plate that the close view shows.
const CLOSE_FT: f64 = 7.0;
/// Half of the plate's width, 17 in (Official Baseball Rules, rule 2.02, from
/// memory), in ft.
const HALF_PLATE_FT: f64 = 8.5 / 12.0;

type PathFt = Vec<[f64; 3]>;

pub fn view() -> AnyView {
    let Asked { question, answer } = Asked::now();
    live(move || {
        let (question, answer) = (question.get(), answer.get());
        match (answer.closest(), question.flight()) {
            (Some(found), Ok(flight)) => drawn(&question, found, &flight),
            _ => refusal(format!("{}.", reason(&answer))),
        }
    })
}

fn path_ft(flight: &Flight, launch: &Launch) -> PathFt {
    let path = flight.path(launch, 0.0, POINTS);
    path.iter().map(|place| place.map(m_to_ft)).collect()
}

fn drawn(question: &SetUpQuestion, found: &Solution, flight: &Flight) -> AnyView {
    let pitch = path_ft(flight, &found.game_launch);
    let machine = path_ft(&flight.with_ball(found.ball), &found.machine_launch);
    let rubber_ft = question.level.rubber_to_plate_ft;
    group(vec![
        line(
            "line",
            "Pitch: full line. Machine: broken line. Feet and heights to one scale.",
        ),
        side(&pitch, &machine, rubber_ft),
        above(&pitch, &machine, rubber_ft),
        close(found, &pitch, &machine),
    ])
}

/// Points of a line; `across` and `up` are the drawing's axes.
fn points(path: &PathFt, of: impl Fn(&[f64; 3]) -> (f64, f64)) -> String {
    let texts: Vec<String> = path
        .iter()
        .map(|place| {
            let (x, y) = of(place);
            format!("{x:.2},{y:.2}")
        })
        .collect();
    texts.join(" ")
}

fn both(pitch: String, machine: String) -> AnyView {
    view! {
        <polyline class="pitch-path" points=pitch />
        <polyline class="machine-path" points=machine />
    }
    .into_any()
}

/// From the third-base side: the plate to the right.
fn side(pitch: &PathFt, machine: &PathFt, rubber_ft: f64) -> AnyView {
    let top = pitch
        .iter()
        .chain(machine)
        .map(|place| place[2])
        .fold(6.0, f64::max);
    let at = move |place: &[f64; 3]| (rubber_ft - place[1], top - place[2]);
    let view_box = format!("-1 -1 {:.1} {:.1}", rubber_ft + 3.0, top + 2.0);
    let (stand_x, stand_y) = machine.first().map_or((0.0, 0.0), at);
    let (hand_x, hand_y) = pitch.first().map_or((0.0, 0.0), at);
    let label = format!(
        "From the side. The pitch is let go {} from the plate, {} high; the machine's ball {} from it, {} high.",
        tape(pitch.first().map_or(0.0, |place| place[1])),
        tape(pitch.first().map_or(0.0, |place| place[2])),
        tape(machine.first().map_or(0.0, |place| place[1])),
        tape(machine.first().map_or(0.0, |place| place[2])),
    );
    view! {
        <figure>
            <figcaption>"From the side: pitcher at the left, plate at the right"</figcaption>
            <svg class="drawing" viewBox=view_box role="img" aria-label=label>
                <line class="ground" x1="-1" y1=top x2=rubber_ft + 2.0 y2=top />
                <line class="stand" x1=stand_x y1=stand_y x2=stand_x y2=top />
                {both(points(pitch, at), points(machine, at))}
                <circle class="release" cx=hand_x cy=hand_y r="0.4" />
                <circle class="release" cx=stand_x cy=stand_y r="0.4" />
                <rect class="plate" x=rubber_ft - 17.0 / 12.0 y=top width=17.0 / 12.0 height="0.35" />
            </svg>
        </figure>
    }
    .into_any()
}

/// From above: who looks from the plate at the right to the pitcher at the left
/// has the first-base side at the right hand, which is the top of the drawing.
fn above(pitch: &PathFt, machine: &PathFt, rubber_ft: f64) -> AnyView {
    let at = move |place: &[f64; 3]| (rubber_ft - place[1], -place[0]);
    let view_box = format!("-1 -3 {:.1} 6", rubber_ft + 3.0);
    let (front, back) = (rubber_ft - PLATE_FRONT_IN / 12.0, rubber_ft);
    let half = HALF_PLATE_FT;
    let corner = front + half;
    let plate = format!(
        "{front:.2},{:.2} {corner:.2},{:.2} {back:.2},0 {corner:.2},{half:.2} {front:.2},{half:.2}",
        -half, -half
    );
    let label = match (pitch.first(), machine.first()) {
        (Some(hand), Some(stand)) => format!(
            "From above. The pitch is let go {} to the side, the machine's ball {}.",
            tape(hand[0].abs()),
            tape(stand[0].abs())
        ),
        _ => "From above".to_owned(),
    };
    let spot = |path: &PathFt| {
        let (x, y) = path.first().map_or((0.0, 0.0), at);
        view! { <circle class="release" cx=x cy=y r="0.4" /> }
    };
    view! {
        <figure>
            <figcaption>"From above: the first-base side at the top"</figcaption>
            <svg class="drawing" viewBox=view_box role="img" aria-label=label>
                <line class="middle" x1="-1" y1="0" x2=rubber_ft + 1.0 y2="0" />
                <polygon class="plate" points=plate />
                {both(points(pitch, at), points(machine, at))} {spot(pitch)} {spot(machine)}
            </svg>
        </figure>
    }
    .into_any()
}

/// The last feet from the side, large: the two angles.
fn close(found: &Solution, pitch: &PathFt, machine: &PathFt) -> AnyView {
    let near = |path: &PathFt| -> PathFt {
        let last = path.iter().filter(|place| place[1] <= CLOSE_FT + 2.0);
        last.copied().collect()
    };
    let (pitch, machine) = (near(pitch), near(machine));
    let middle_ft = m_to_ft(found.target_m[2]);
    let at = move |place: &[f64; 3]| (CLOSE_FT - place[1], middle_ft - place[2]);
    let label = format!(
        "The last {} before the plate, from the side. The pitch comes down at {}°, the machine's ball at {}°.",
        tape(CLOSE_FT),
        fixed(found.game.descent_deg, 1),
        fixed(found.machine.descent_deg, 1),
    );
    view! {
        <figure>
            <figcaption>
                {format!(
                    "The last {}: pitch {}° down, machine {}° down",
                    tape(CLOSE_FT),
                    fixed(found.game.descent_deg, 1),
                    fixed(found.machine.descent_deg, 1),
                )}
            </figcaption>
            <svg class="drawing close" viewBox="0 -1.6 7.4 2.6" role="img" aria-label=label>
                <line class="middle" x1="0" y1="0" x2="7" y2="0" />
                <line class="middle" x1="7" y1="-1.5" x2="7" y2="1" />
                {both(points(&pitch, at), points(&machine, at))}
                <circle class="release" cx="7" cy="0" r="0.12" />
            </svg>
        </figure>
    }
    .into_any()
}
