//! Where to put the machine, and how fast.

use super::with_hitter;
use crate::parts::{Choice, NumberField, Panel, Place, line, refusal, said};
use crate::state::{Desk, SetUpEdit, SetUpQuestion};
use crate::words::{base_side, fixed, plain, side_ft, steeper};
use coaching::vocabulary::Hand;
use flight::{Field, Leftover, Seen, SetUp, SetUpError};
use leptos::prelude::*;

/// The set-up for the chosen hitter.
#[component]
pub fn SetUpPanel() -> impl IntoView {
    view! { <Panel place=Place::SetUp title="Machine set-up" summary=summary detail=detail /> }
}

const NO_HITTER: &str = "Add a hitter, and the machine's place and speed for his or her level \
                         stand here.";

fn summary() -> AnyView {
    let desk = expect_context::<Desk>();
    (move || match desk.set_up_question() {
        None => line("empty", NO_HITTER),
        Some(question) => match question.solve() {
            Err(error) => refusal(format!("{error}. Open to change it.")),
            Ok(found) => view! {
                <Place3 found />
                {line("line", for_pitch(&question, &found))}
                {line("line caution", "Helmets on. Box empty for 5 balls.")}
            }
            .into_any(),
        },
    })
    .into_any()
}

/// Distance, height and speed, large.
#[component]
fn Place3(found: SetUp) -> impl IntoView {
    view! {
        <dl class="figures">
            <div>
                <dt>"Machine at"</dt>
                <dd>{plain(found.distance_ft)} <small>" ft"</small></dd>
            </div>
            <div>
                <dt>"Height"</dt>
                <dd>{fixed(found.height_ft, 1)} <small>" ft"</small></dd>
            </div>
            <div>
                <dt>"Speed"</dt>
                <dd>{fixed(found.speed_mph, 1)} <small>" mph"</small></dd>
            </div>
        </dl>
    }
}

fn for_pitch(question: &SetUpQuestion, found: &SetUp) -> String {
    format!(
        "{}. Same time as {} mph, comes in {}.",
        capitalised(&side_ft(found.side_ft)),
        plain(question.game_speed_mph),
        steeper(found.leftover().descent_deg),
    )
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn detail() -> AnyView {
    with_hitter(NO_HITTER, || view! { <Detail /> }.into_any())
}

#[component]
fn Detail() -> impl IntoView {
    let desk = expect_context::<Desk>();
    // The panel shows this only while there is a hitter; the level's usual
    // question stands in during the moment a hitter is removed.
    let question = Memo::new(move |before: Option<&SetUpQuestion>| {
        desk.set_up_question()
            .or(before.copied())
            .unwrap_or_else(SetUpQuestion::first_level)
    });
    // Searched once for the answer and for the inverse, which asks from its place.
    let found = Memo::new(move |_| question.get().solve());
    let level = move || question.get().level;
    let ranged = move |field| Signal::derive(move || level().allowed(field));
    let distances = Signal::derive(move || question.get().release().machine_distances());
    let hands = Hand::ALL
        .iter()
        .map(|hand| (hand.id(), hand.name()))
        .collect();
    view! {
        <div class="detail set-up-detail">
            <h3>"The pitch to prepare for"</h3>
            <p class="line">
                {move || {
                    let release = question.get().release();
                    format!(
                        "{}: released {} ft from the plate, {} ft high, {}.",
                        level().name,
                        plain(release.distance_ft),
                        plain(release.height_ft),
                        match release.side_ft {
                            0.0 => "in line with the plate".to_owned(),
                            side => format!("{} ft to the {}", plain(side.abs()), base_side(side)),
                        },
                    )
                }} <small class="source">{move || level().source}</small>
            </p>
            <NumberField
                field=Field::GameSpeed
                range=ranged(Field::GameSpeed)
                step=1.0
                value=Signal::derive(move || question.get().game_speed_mph)
                on_change=move |mph| desk.edit_set_up(SetUpEdit::GameSpeed(mph))
            />
            <Choice
                label="Pitcher throws"
                options=hands
                chosen=Signal::derive(move || question.get().pitcher.id())
                on_choose=move |id: &'static str| {
                    if let Some(hand) = Hand::from_id(id) {
                        desk.edit_set_up(SetUpEdit::Pitcher(hand));
                    }
                }
            />
            <h3>"The machine"</h3>
            <NumberField
                field=Field::MachineDistance
                range=distances
                step=0.5
                value=Signal::derive(move || question.get().machine_distance_ft)
                on_change=move |ft| desk.edit_set_up(SetUpEdit::MachineDistance(ft))
            />
            {move || answer_view(&question.get(), &found.get())}
            <h3>"The other way round"</h3>
            <NumberField
                field=Field::MachineSpeed
                range=ranged(Field::MachineSpeed)
                step=1.0
                value=Signal::derive(move || question.get().machine_speed_mph)
                on_change=move |mph| desk.edit_set_up(SetUpEdit::MachineSpeed(mph))
            />
            {move || inverse_view(&question.get(), &found.get())}
            <Cautions />
        </div>
    }
}

fn answer_view(question: &SetUpQuestion, found: &Result<SetUp, SetUpError>) -> AnyView {
    let found = match *found {
        Ok(found) => found,
        Err(error) => return refusal(error.to_string()),
    };
    let aim = format!(
        "Aim {}° {} and {}° toward the {}. Heights are from plate level.",
        fixed(found.aim_down_deg.abs(), 1),
        if found.aim_down_deg < 0.0 {
            "up"
        } else {
            "down"
        },
        fixed(found.aim_side_deg.abs(), 1),
        base_side(found.aim_side_deg),
    );
    view! {
        <div role="group" aria-label="Set-up" class="detail">
            <Place3 found />
            {line(
                "line",
                format!(
                    "{}, on the sight line from the pitcher's release.",
                    capitalised(&side_ft(found.side_ft)),
                ),
            )}
            {line("line", aim)}
            <Beside game=found.game machine=found.machine leftover=found.leftover() />
            <small class="source">
                {format!(
                    "Computed flight, drag coefficient 0.35, air 1.2 kg/m³. Backspin taken: pitch {} rpm, machine {} rpm (common practice).",
                    plain(question.level.backspin_rpm),
                    plain(question.machine_backspin_rpm()),
                )}
            </small>
        </div>
    }
    .into_any()
}

/// Pitch and machine, component by component.
#[component]
fn Beside(game: Seen, machine: Seen, leftover: Leftover) -> impl IntoView {
    let row = |name: &'static str, unit: &'static str, digits, of: fn(&Seen) -> f64, left: f64| {
        // Unlike `fixed`, a difference shows its sign.
        let left = match fixed(left, digits) {
            text if left > 0.0 && text.bytes().any(|c| c.is_ascii_digit() && c != b'0') => {
                format!("+{text}")
            }
            text => text,
        };
        view! {
            <tr>
                <th scope="row">
                    {name} <small>{format!(" {unit}")}</small>
                </th>
                <td>{fixed(of(&game), digits)}</td>
                <td>{fixed(of(&machine), digits)}</td>
                <td>{left}</td>
            </tr>
        }
    };
    view! {
        <table>
            <caption>"At the plate"</caption>
            <thead>
                <tr>
                    <td></td>
                    <th scope="col">"Pitch"</th>
                    <th scope="col">"Machine"</th>
                    <th scope="col">"Left over"</th>
                </tr>
            </thead>
            <tbody>
                {row("Time", "s", 3, |seen| seen.time_s, leftover.time_s)}
                {row("Descent", "°", 1, |seen| seen.descent_deg, leftover.descent_deg)}
                {row("Side angle", "°", 1, |seen| seen.side_angle_deg, leftover.side_angle_deg)}
                {row("Speed", "mph", 1, |seen| seen.speed_at_plate_mph, leftover.speed_at_plate_mph)}
            </tbody>
        </table>
    }
}

fn inverse_view(question: &SetUpQuestion, found: &Result<SetUp, SetUpError>) -> AnyView {
    match found.and_then(|place| question.inverse(&place)) {
        Ok(stands) => {
            let text = format!(
                "At {} mph from there the hitter has the time of a {} mph pitch ({} s), and the ball comes in {}.",
                plain(question.machine_speed_mph),
                fixed(stands.game_speed_mph, 1),
                fixed(stands.machine.time_s, 3),
                steeper(stands.leftover().descent_deg),
            );
            said("line", text)
        }
        Err(error) => refusal(error.to_string()),
    }
}

#[component]
fn Cautions() -> impl IntoView {
    view! {
        <h3>"Before the first ball"</h3>
        <ul class="cautions">
            <li>"Helmets for all in the cage; a screen for whoever feeds."</li>
            <li>"Nobody in the line of fire, or in front of the machine while it is powered."</li>
            <li>"The first five balls, and five after every change: box empty."</li>
            <li>"Unplug before clearing a ball. Minors never run the machine unsupervised."</li>
            <li>"The machine maker's manual and your league's rules stand above this page."</li>
        </ul>
    }
}
