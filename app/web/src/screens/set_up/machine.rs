//! Which machine, and what it can do; the frame for choosing equipment.

use super::Asked;
use super::number::{Of, of_equipment};
use crate::parts::{
    act, fold, group, line, live, name_field, option_of, options_of, selection, shown, speed, tape,
};
use crate::state::names::machine as name;
use crate::state::{Desk, USUAL, WHEELS, What, choice_of};
use coaching::names::hitter_name;
use flight::{BALLS, Field, Span, Wheels};
use leptos::prelude::*;
use notebook::RecordId;

/// The choice of a machine, and its limits in a fold.
pub fn view() -> AnyView {
    group(vec![
        pick(What::Machine, "Machine", "Usual for the level"),
        fold("What the machine can do", limits),
    ])
}

/// The choice of one of the club's machines or cages, or the usual one.
pub fn pick(what: What, label: &'static str, usual: &'static str) -> AnyView {
    let desk = expect_context::<Desk>();
    let options = move || {
        let own = desk.equipment_of(what);
        let own = own
            .iter()
            .map(|one| (one.head.id.to_string(), one.name.get().clone()));
        std::iter::once(option_of(USUAL, usual))
            .chain(own)
            .collect()
    };
    let chosen = move || {
        let chosen = desk.chosen_equipment(what);
        chosen.map_or(USUAL.to_owned(), |one| one.head.id.to_string())
    };
    selection(
        label,
        false,
        Signal::derive(options),
        Signal::derive(chosen),
        Callback::new(move |id: String| {
            desk.edit_set_up(choice_of(what.id(), &id).into_iter().collect());
        }),
    )
}

/// What is known of the chosen one: `usual` and a button to describe an own one,
/// or its name, its `fields` and a button to remove it.
pub fn described(
    what: What,
    add: &'static str,
    remove: &'static str,
    usual: fn() -> AnyView,
    fields: fn(RecordId) -> AnyView,
) -> AnyView {
    let desk = expect_context::<Desk>();
    let chosen = Memo::new(move |_| desk.chosen_equipment(what).map(|one| one.head.id));
    live(move || {
        let Some(id) = chosen.get() else {
            let add = act(
                add,
                "wide",
                Callback::new(move |()| desk.add_equipment(what)),
            );
            return group(vec![usual(), add]);
        };
        let name = move || {
            let one = desk.chosen_equipment(what);
            one.map_or(String::new(), |one| one.name.get().clone())
        };
        let rename = move |typed: String| {
            let name = hitter_name(&typed).map_err(|error| error.to_string())?;
            desk.rename_equipment(id, name);
            Ok(())
        };
        let remove = act(
            remove,
            "quiet",
            Callback::new(move |()| desk.remove_equipment(id)),
        );
        group(vec![
            name_field("Name", Signal::derive(name), Callback::new(rename)),
            fields(id),
            remove,
        ])
    })
}

fn limits() -> AnyView {
    described(
        What::Machine,
        "Describe my machine",
        "Remove this machine",
        usual,
        fields,
    )
}

fn usual() -> AnyView {
    let machine = Asked::now().question.get().machine;
    line(
        "line",
        format!(
            "Taken as usual (common practice, no source): two wheels, one above the other, release {} to {} high, {} to {}, a mark every {}, {} from feed to release.",
            tape(machine.height_ft.min),
            tape(machine.height_ft.max),
            speed(machine.speed_mph.min),
            speed(machine.speed_mph.max),
            speed(machine.speed_step_mph),
            shown(Field::FeedDelay, machine.feed_delay_s),
        ),
    )
}

fn fields(id: RecordId) -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    let number = move |field, label, name, of: Of| of_equipment(id, field, label, name, of);
    let wheels = Memo::new(move |_| match question.get().machine.wheels {
        Wheels::Arm { .. } => "arm",
        Wheels::One { .. } => "one",
        Wheels::Two { .. } => "two",
        Wheels::Three { .. } => "three",
    });
    let ball = move || {
        let ball = question.get().machine.ball;
        BALLS.iter().find(|kind| kind.ball == ball)
    };
    let choose = move |name, chosen: String| {
        if let Some(entry) = choice_of(name, &chosen) {
            desk.edit_equipment(id, &entry);
        }
    };
    group(vec![
        number(
            Field::FeedHeight,
            "Lowest release",
            name::HEIGHT_LEAST,
            |asked| asked.machine.height_ft.min,
        ),
        number(
            Field::FeedHeight,
            "Highest release",
            name::HEIGHT_MOST,
            |asked| asked.machine.height_ft.max,
        ),
        number(
            Field::FeedSpeed,
            "Slowest mark",
            name::SPEED_LEAST,
            |asked| asked.machine.speed_mph.min,
        ),
        number(
            Field::FeedSpeed,
            "Fastest mark",
            name::SPEED_MOST,
            |asked| asked.machine.speed_mph.max,
        ),
        number(
            Field::SpeedStep,
            "From mark to mark",
            name::SPEED_STEP,
            |asked| asked.machine.speed_step_mph,
        ),
        number(
            Field::FeedDelay,
            "From feed to release",
            name::FEED_DELAY,
            |asked| asked.machine.feed_delay_s,
        ),
        selection(
            "What throws the ball",
            false,
            Signal::stored(options_of(&WHEELS, |known| *known)),
            Signal::derive(move || wheels.get().to_owned()),
            Callback::new(move |chosen| choose(name::WHEELS, chosen)),
        ),
        live(move || of_wheels(id, wheels.get())),
        selection(
            "Balls in it",
            false,
            Signal::stored(options_of(BALLS, |known| (known.id, known.name))),
            Signal::derive(move || ball().map_or("", |kind| kind.id).to_owned()),
            Callback::new(move |chosen| choose(name::BALL, chosen)),
        ),
        live(move || line("source", ball().map_or("", |kind| kind.source))),
        line(
            "line",
            "Wheels are taken to let the ball go without slip: a worn wheel or a wet ball spins it less.",
        ),
    ])
}

/// Numbers that depend on what throws the ball.
fn of_wheels(id: RecordId, wheels: &str) -> AnyView {
    let number = move |field, label, name, of: Of| of_equipment(id, field, label, name, of);
    let spin = Field::MachineSpin;
    let tilt = || {
        number(
            Field::SpinTilt,
            "Spin pushes the ball toward",
            name::TILT,
            |asked| match asked.machine.wheels {
                Wheels::One { tilt_deg, .. } | Wheels::Two { tilt_deg, .. } => tilt_deg,
                _ => 0.0,
            },
        )
    };
    let least: Of = |asked| spins(&asked.machine.wheels)[0].min;
    let most: Of = |asked| spins(&asked.machine.wheels)[0].max;
    group(match wheels {
        "arm" => vec![number(spin, "Its backspin", name::SPIN_MOST, most)],
        "one" => vec![
            tilt(),
            number(
                Field::PlateSlip,
                "Slip on the plate",
                name::PLATE_SLIP,
                |asked| match asked.machine.wheels {
                    Wheels::One { plate_slip, .. } => plate_slip,
                    _ => 0.0,
                },
            ),
            line("line", TILT),
        ],
        "three" => vec![
            number(spin, "Least backspin", name::SPIN_LEAST, least),
            number(spin, "Most backspin", name::SPIN_MOST, most),
            number(spin, "Least sidespin", name::SIDESPIN_LEAST, |asked| {
                spins(&asked.machine.wheels)[1].min
            }),
            number(spin, "Most sidespin", name::SIDESPIN_MOST, |asked| {
                spins(&asked.machine.wheels)[1].max
            }),
        ],
        _ => vec![
            tilt(),
            number(spin, "Least spin", name::SPIN_LEAST, least),
            number(spin, "Most spin", name::SPIN_MOST, most),
            line("line", TILT),
        ],
    })
}

/// Spin and sidespin that can be set, rpm.
fn spins(wheels: &Wheels) -> [Span; 2] {
    let none = Span::only(0.0);
    match *wheels {
        Wheels::Arm { backspin_rpm } => [Span::only(backspin_rpm), none],
        Wheels::One { .. } => [none, none],
        Wheels::Two { spin_rpm, .. } => [spin_rpm, none],
        Wheels::Three {
            backspin_rpm,
            sidespin_rpm,
        } => [backspin_rpm, sidespin_rpm],
    }
}

const TILT: &str = "0° is up: backspin. 90° is toward the first-base side, 180° down: topspin, \
                    \u{2212}90° toward the third-base side.";
