//! How like the game each environment of the session is, component by component,
//! and what would make it closer. There is no score.

use super::feed::{fed_now, in_words};
use super::{Settled, says};
use crate::parts::{
    Units, act, group, line, live, refusal, shown, small_heading, speed, table, tape, way,
    way_to_card,
};
use crate::state::session::Practice;
use crate::state::{Desk, SetUpQuestion};
use coaching::cards::card;
use coaching::realism::closer::{Firmness, Suggestion, firm_enough};
use coaching::realism::{Fed, Game, Realism};
use coaching::vocabulary::Environment;
use flight::{Field, Pitch, Placed};
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
        let mut parts = vec![line("line", game_pitch(&question))];
        for environment in environments {
            let fed = fed_now(desk, practice, environment);
            parts.push(one(environment, fed, &game));
        }
        parts.push(line(
            "line",
            "Each component stands for itself; there is no score. A feed by hand is taken as the usual one of its kind until you set it under How the ball is fed.",
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

fn one(environment: Environment, fed: Option<Fed>, game: &Game) -> AnyView {
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
        parts.push(line("line", in_words(&placed)));
    }
    let units = Units::now();
    let rows = realism.parts.iter().map(|part| part.cells(units).to_vec());
    parts.push(table(
        "Beside the game pitch",
        &["", "Here", "Game pitch", "Difference"],
        rows.collect(),
    ));
    parts.extend(closer(realism, fed, game));
    group(parts)
}

/// What would make it closer, each with its way there.
fn closer(realism: &Realism, fed: Fed, game: &Game) -> Vec<AnyView> {
    let closer = realism.closer();
    if closer.is_empty() {
        return Vec::new();
    }
    let mut parts = vec![line("line caution", "What would make it closer:")];
    for suggestion in closer {
        let firmness = match suggestion {
            Suggestion::Firmer | Suggestion::Softer => firm_enough(realism.environment, fed, game),
            _ => None,
        };
        let mut text = suggestion.name().to_owned();
        if let Some(firmness) = firmness {
            text = format!("{text} {}", firmness.sentence(Units::now()));
        }
        parts.push(line("line", text));
        parts.extend(match suggestion {
            Suggestion::OpenSetUp | Suggestion::MachineMatch => {
                Some(way("/set-up", "Open the set-up", "", false))
            }
            Suggestion::Firmer | Suggestion::Softer => match (fed, firmness) {
                (Fed::Ball(placed), Some(Firmness::Speed(speed_mph))) => {
                    Some(feed_at(realism.environment, placed, speed_mph))
                }
                _ => None,
            },
            Suggestion::AngledToss => Some(take(Environment::AngledToss, "Log an angled toss")),
            Suggestion::FirmShortPractice => Some(take(
                Environment::ShortBattingPractice,
                "Log short batting practice",
            )),
            Suggestion::TeeWithGuide | Suggestion::CallTakeSwing => None,
        });
        parts.extend(
            suggestion
                .card()
                .and_then(card)
                .map(|card| way_to_card(card.id, card.title)),
        );
    }
    parts
}

/// Notes that the balls of an environment are fed at another speed from now on, and
/// has the balls come from there.
fn feed_at(environment: Environment, placed: Placed, speed_mph: f64) -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    // What is noted is what is said.
    let unit = Units::now().shown_unit("mph");
    let speed_mph = unit.back(unit.of(speed_mph).round());
    act(
        format!("Note the feed at {}", shown(Field::FeedSpeed, speed_mph)),
        "",
        Callback::new(move |()| {
            if desk.environment.get_untracked() != environment {
                desk.set_environment(environment);
            }
            practice.feed_by_hand(Placed {
                speed_mph,
                ..placed
            });
        }),
    )
}

/// Has the balls to come from another environment.
fn take(environment: Environment, label: &'static str) -> AnyView {
    let desk = expect_context::<Desk>();
    act(
        label,
        "",
        Callback::new(move |()| desk.set_environment(environment)),
    )
}
