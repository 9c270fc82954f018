//! How like the game each environment of the session is, component by component,
//! and what would make it closer. There is no score.

use super::{Settled, says};
use crate::parts::{cautions, group, line, live, refusal, shown, small_heading, speed, tape, way};
use crate::state::session::Practice;
use crate::state::{Desk, SetUpQuestion};
use coaching::realism::closer::{Suggestion, firm_enough};
use coaching::realism::{Fed, Game, Realism, feeds};
use coaching::vocabulary::{Environment, Side};
use flight::{Field, Pitch};
use leptos::prelude::*;

/// The environments of the session beside the game pitch.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let Settled(settled) = expect_context();
    live(move || {
        settled.track();
        let now = desk.environment.get();
        // The question is the chosen hitter's; it is read a moment later.
        let here = practice.hitter.get();
        if here.is_none() || desk.chosen.get() != here {
            return line("line", "Nobody at the plate.");
        }
        let (Some(hitter), Some(question)) = (practice.at_plate(), desk.set_up_question()) else {
            return line("line", "Nobody at the plate.");
        };
        let balls = untrack(|| practice.balls_of(hitter.head.id));
        let mut environments = says::environments(&balls);
        if !environments.contains(&now) {
            environments.push(now);
        }
        let game = match question.flight() {
            Ok(flight) => Game {
                flight,
                pitch: Pitch {
                    met_at: question.contact(),
                    ..question.pitch
                },
                swing_s: question.swing_s,
            },
            Err(error) => return refusal(error.to_string()),
        };
        let side = desk.side_now(&hitter);
        let mut parts = vec![line("line", game_pitch(&question))];
        for environment in environments {
            let machine = practice.feed_of(hitter.head.id, environment);
            parts.push(one(environment, &question, &game, side, machine));
        }
        parts.push(line(
            "line",
            "Each component stands for itself; there is no score. Feeds by hand are taken as the usual ones of their kind.",
        ));
        group(parts)
    })
}

/// Against which pitch.
fn game_pitch(question: &SetUpQuestion) -> String {
    let pitch = &question.pitch;
    format!(
        "The game pitch of this hitter's set-up: {}, {} from {}, let go {} high.",
        question.level.name,
        speed(pitch.speed_mph),
        tape(pitch.release.distance_ft),
        tape(pitch.release.height_ft),
    )
}

fn one(
    environment: Environment,
    question: &SetUpQuestion,
    game: &Game,
    side: Side,
    machine: Option<flight::Placed>,
) -> AnyView {
    let ball = question.level.ball;
    let fed = feeds::usual(environment, ball, side, question.pitcher);
    let fed = match (fed, machine) {
        (Some(fed), _) => Some(fed),
        (None, Some(placed)) => Some(Fed::Ball(flight::Placed {
            ball: question.machine.ball,
            ..placed
        })),
        (None, None) => None,
    };
    let Some(fed) = fed else {
        return group(vec![
            small_heading(environment.name()),
            line("line", "The set-up is not solved yet."),
            way("/set-up", "Open the set-up", "", false),
        ]);
    };
    match Realism::of(environment, fed, game) {
        Err(error) => group(vec![
            small_heading(environment.name()),
            refusal(error.to_string()),
        ]),
        Ok(realism) => described(&realism, fed, game),
    }
}

fn described(realism: &Realism, fed: Fed, game: &Game) -> AnyView {
    let environment = realism.environment;
    let mut parts = vec![small_heading(environment.name())];
    if let Fed::Ball(placed) = fed {
        parts.push(line(
            "line",
            format!(
                "Fed from {}, {} high, at {}.",
                tape(placed.distance_ft),
                tape(placed.height_ft),
                shown(Field::FeedSpeed, placed.speed_mph)
            ),
        ));
    }
    let rows = realism.parts.iter().map(|part| part.sentence());
    parts.push(cautions(rows.collect()));
    let closer = realism.closer();
    if closer.is_empty() {
        return group(parts);
    }
    parts.push(line("line caution", "What would make it closer:"));
    parts.push(cautions(
        closer.iter().map(|known| known.name().to_owned()).collect(),
    ));
    if closer.contains(&Suggestion::Firmer)
        && let Some(firm) = firm_enough(environment, fed, game)
    {
        parts.push(line("line", firm.sentence()));
    }
    if closer.contains(&Suggestion::OpenSetUp) || closer.contains(&Suggestion::MachineMatch) {
        parts.push(way("/set-up", "Open the set-up", "", false));
    }
    if closer.iter().any(|known| known.card().is_some()) {
        parts.push(way("/book/cards", "Open the drill cards", "", true));
    }
    group(parts)
}
