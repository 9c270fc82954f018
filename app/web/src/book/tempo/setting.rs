//! What a set is played with: target, reps, rest, environment.

use super::run::Tempo;
use crate::parts::{
    act, choice, group, line, live, live_line, number_field, options_of, selection,
};
use crate::state::names;
use crate::words::fixed;
use coaching::count::Target;
use coaching::tempo::beats::Plan;
use coaching::vocabulary::Environment;
use flight::{Field, Range};
use leptos::prelude::*;

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let target = Range {
        min: Target::LOW_S,
        max: Target::HIGH_S,
        unit: "s",
    };
    let seconds = |(min, max): (f64, f64)| Range {
        min,
        max,
        unit: "s",
    };
    group(vec![
        number_field(
            Field::Count,
            "Target count",
            Signal::stored(target),
            Signal::derive(move || tempo.target().seconds()),
            Callback::new(move |seconds| keep_target(tempo, seconds)),
        ),
        line(
            "line",
            "Most hitters' counts lie between 1 and 2 s (common practice, no source).",
        ),
        choice(
            "Reps of a set",
            vec![("5", "5"), ("10", "10"), ("20", "20")],
            Signal::derive(move || match tempo.reps_of_set.get() {
                5 => "5",
                20 => "20",
                _ => "10",
            }),
            Callback::new(move |id| {
                tempo.reps_of_set.set(match id {
                    "5" => 5,
                    "20" => 20,
                    _ => 10,
                });
            }),
        ),
        number_field(
            Field::Count,
            "Call before lift",
            Signal::stored(seconds(Plan::ANNOUNCE_S)),
            tempo.call_s.into(),
            Callback::new(move |seconds| tempo.call_s.set(seconds)),
        ),
        number_field(
            Field::Count,
            "Rest between reps",
            Signal::stored(seconds((Plan::REST_S.0, 60.0))),
            tempo.rest_s.into(),
            Callback::new(move |seconds| tempo.rest_s.set(seconds)),
        ),
        selection(
            "Environment",
            false,
            Signal::stored(options_of(Environment::ALL, |known| {
                (known.id(), known.name())
            })),
            Signal::derive(move || tempo.desk.environment.get().id().to_owned()),
            Callback::new(move |id: String| {
                if let Some(environment) = Environment::from_id(&id) {
                    go_to(tempo, environment);
                }
            }),
        ),
    ])
}

/// Keeps a target of the hitter, and says so.
pub fn keep_target(tempo: Tempo, seconds: f64) {
    // To the hundredth, as screens show it.
    let seconds = (seconds * 100.0).round() / 100.0;
    match Target::new(seconds) {
        Ok(target) => {
            let said = format!("The target count is {} s.", fixed(target.seconds(), 2));
            tempo
                .desk
                .set_hitter_number(names::hitter::COUNT, target.seconds(), said);
        }
        Err(error) => tempo.desk.notes.say(error.to_string(), None),
    }
}

/// Another environment is another set.
fn go_to(tempo: Tempo, environment: Environment) {
    tempo.stop();
    tempo.desk.set_environment(environment);
    tempo.new_set();
}

/// The ladder's environments, from the one that asks least (common practice, no
/// source).
const RUNGS: [Environment; 4] = [
    Environment::MedicineBall,
    Environment::Tee,
    Environment::FrontToss,
    Environment::Machine,
];

/// Where the ladder stands, and the next environment.
pub fn ladder(tempo: Tempo) -> AnyView {
    let here = Memo::new(move |_| {
        let now = tempo.desk.environment.get();
        RUNGS.iter().position(|rung| *rung == now)
    });
    live(move || {
        let next = here.get().map_or(0, |here| here + 1);
        let now = tempo.desk.environment.get().name();
        let mut parts = vec![line(
            "line",
            match here.get() {
                Some(here) => format!("Set {} of {}: {now}.", here + 1, RUNGS.len()),
                None => format!("{now} is not on the ladder; it begins with the medicine ball."),
            },
        )];
        parts.push(match RUNGS.get(next) {
            Some(rung) => act(
                format!("Next set: {}", rung.name()),
                "wide",
                Callback::new(move |()| go_to(tempo, RUNGS[next])),
            ),
            None => line(
                "line",
                "The last set of the ladder. Numbers below compare the sets.",
            ),
        });
        group(parts)
    })
}

/// How the machine is fed: its delay from the set-up, the ball's flight from here.
pub fn random(tempo: Tempo) -> AnyView {
    group(vec![
        live_line("line", move || {
            format!(
                "Feed delay of the chosen machine: {} s (1 s where none is set up).",
                fixed(tempo.feed().delay_s, 2)
            )
        }),
        number_field(
            Field::TimedTime,
            "Flight of the ball",
            Signal::stored(Range {
                min: 0.2,
                max: 1.5,
                unit: "s",
            }),
            tempo.flight_s.into(),
            Callback::new(move |seconds| tempo.flight_s.set(seconds)),
        ),
        line(
            "line caution",
            "The feeder stands behind the screen and sees the hitter. Helmets for all in the cage. \
             No feed to a hitter who is not ready, tone or not.",
        ),
    ])
}

/// Where a player alone may practise.
const SAFE_ALONE: [Environment; 2] = [Environment::Tee, Environment::MedicineBall];

/// A player alone is put to the tee, unless already where it is safe.
pub fn alone_where_it_is_safe(tempo: Tempo) {
    if !SAFE_ALONE.contains(&tempo.desk.environment.get_untracked()) {
        go_to(tempo, Environment::Tee);
    }
}

/// Tee or medicine ball, with its caution.
pub fn alone(tempo: Tempo) -> AnyView {
    group(vec![
        choice(
            "Alone with",
            SAFE_ALONE.map(|known| (known.id(), known.name())).to_vec(),
            Signal::derive(move || tempo.desk.environment.get().id()),
            Callback::new(move |id| {
                if let Some(environment) = Environment::from_id(id) {
                    go_to(tempo, environment);
                }
            }),
        ),
        line(
            "line caution",
            "Nobody in front and nobody in the bat's reach. A light medicine ball, thrown into a net \
             or a wall that gives. Put the ball on the tee in the rest between reps: set the rest so \
             that there is no hurry. Stop on pain. One tone calls a rep; two tones the first set, \
             and one more for each set after.",
        ),
    ])
}
