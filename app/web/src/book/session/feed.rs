//! How the ball is fed: by hand as the coach says it, of a machine what its set-up
//! solved. Recorded in the round.

use crate::parts::{group, line, live, number_field, shown, tape, way};
use crate::state::Desk;
use crate::state::session::{FeedKey, Practice};
use coaching::realism::{Fed, feeds};
use coaching::vocabulary::Environment;
use flight::{Field, Placed, allowed};
use leptos::prelude::*;

/// The way of the environment that is set.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let environment = Memo::new(move |_| desk.environment.get());
    live(move || match environment.get() {
        Environment::Machine => machine(),
        Environment::Tee | Environment::MedicineBall => line("line", "No ball flies."),
        Environment::Live | Environment::Game => {
            line("line", "A pitcher pitches: nothing is assumed of the ball.")
        }
        _ => by_hand(),
    })
}

/// How the ball of an environment comes: as recorded in this session, or else as
/// usual; none for a machine whose set-up is not solved.
pub fn fed_now(desk: Desk, practice: Practice, environment: Environment) -> Option<Fed> {
    let hitter = practice.at_plate()?;
    let question = desk.set_up_question()?;
    let side = desk.side_now(&hitter);
    let ball = question.level.ball;
    let known = practice.feed_of(FeedKey::of(hitter.head.id, environment, side));
    match (
        feeds::usual(environment, ball, side, question.pitcher),
        known,
    ) {
        (Some(Fed::Ball(_)), Some(placed)) => Some(Fed::Ball(Placed { ball, ..placed })),
        (Some(usual), _) => Some(usual),
        (None, Some(placed)) => Some(Fed::Ball(Placed {
            ball: question.machine.ball,
            ..placed
        })),
        (None, None) => None,
    }
}

/// From where and how fast, in words.
pub fn in_words(placed: &Placed) -> String {
    format!(
        "Fed from {}, {} high, at {}.",
        tape(placed.distance_ft),
        tape(placed.height_ft),
        shown(Field::FeedSpeed, placed.speed_mph)
    )
}

fn machine() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    group(vec![
        live(move || {
            let text = match fed_now(desk, practice, Environment::Machine) {
                Some(Fed::Ball(placed)) => in_words(&placed),
                _ => "The set-up is not solved yet.".to_owned(),
            };
            line("line", text)
        }),
        line(
            "line",
            "As the set-up solved it, and recorded in the round. Another set-up begins another round.",
        ),
        way("/set-up", "Open the set-up", "", false),
    ])
}

/// A number of a feed: field, label, how it is read and how it is put.
type Number = (
    Field,
    &'static str,
    fn(&Placed) -> f64,
    fn(&mut Placed, f64),
);

const NUMBERS: [Number; 3] = [
    (
        Field::FeedDistance,
        "Toss distance",
        |placed| placed.distance_ft,
        |placed, value| placed.distance_ft = value,
    ),
    (
        Field::FeedHeight,
        "Release height",
        |placed| placed.height_ft,
        |placed, value| placed.height_ft = value,
    ),
    (
        Field::FeedSpeed,
        "Toss speed",
        |placed| placed.speed_mph,
        |placed, value| placed.speed_mph = value,
    ),
];

fn by_hand() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let now = move || match fed_now(desk, practice, desk.environment.get()) {
        Some(Fed::Ball(placed)) => Some(placed),
        _ => None,
    };
    let is_noted = move || {
        let hitter = practice.at_plate()?;
        let side = desk.side_now(&hitter);
        practice.feed_of(FeedKey::of(hitter.head.id, desk.environment.get(), side))
    };
    let mut parts = vec![live(move || match is_noted() {
        Some(_) => line("line", "As you set it, recorded in the round."),
        None => line(
            "line",
            "Not noted: taken as the usual feed of its kind. What you set here is recorded in the round.",
        ),
    })];
    parts.extend(NUMBERS.map(|(field, label, get, put)| {
        number_field(
            field,
            label,
            Signal::stored(allowed(field)),
            Signal::derive(move || now().map_or(0.0, |placed| get(&placed))),
            Callback::new(move |value: f64| {
                if let Some(mut placed) = untrack(now) {
                    put(&mut placed, value);
                    practice.feed_by_hand(placed);
                }
            }),
        )
    }));
    parts.push(line(
        "line caution",
        "A screen between the feeder and the bat, and soft balls for what is fed from near. Another feed begins another round.",
    ));
    group(parts)
}
