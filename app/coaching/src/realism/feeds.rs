//! The usual feed of each environment, until the coach or a set-up says more.
//! Distances, heights and speeds are the middle of the feeds in `flight`
//! (common practice, no source).

use super::Fed;
use crate::vocabulary::{Environment, Hand, Side};
use flight::{Ball, MachineModel, Placed, Room, Spin, feed};

/// How far to the side an angled toss comes from, ft (common practice, no
/// source): with the distance of a front toss about 15 degrees.
const ANGLED_SIDE_FT: f64 = 4.0;

/// The usual feed of an environment with a ball; `None` for a machine, which
/// has a set-up instead.
///
/// A side toss comes from the open side of the hitter. An angled toss comes
/// from the side of the pitcher's hand: the third-base side for a right-handed
/// one.
pub fn usual(environment: Environment, ball: Ball, batted: Side, pitcher: Hand) -> Option<Fed> {
    let fed = |id: &str, side_ft: f64| {
        let (machine, room) = throws(id)?;
        Some(Fed::Ball(Placed {
            distance_ft: room.distance_ft.middle(),
            height_ft: machine.height_ft.middle(),
            side_ft,
            speed_mph: machine.speed_mph.middle(),
            spin: spin(&machine),
            ball,
        }))
    };
    match environment {
        Environment::MedicineBall | Environment::Tee => Some(Fed::NoFlight),
        Environment::Live | Environment::Game => Some(Fed::Pitched),
        Environment::Machine => None,
        Environment::FrontToss => fed("front-toss", 0.0),
        Environment::ShortBattingPractice => fed("short-batting-practice", 0.0),
        Environment::AngledToss => fed(
            "front-toss",
            match pitcher {
                Hand::Right => -ANGLED_SIDE_FT,
                Hand::Left => ANGLED_SIDE_FT,
            },
        ),
        Environment::SideToss => {
            let (_, room) = throws("side-toss")?;
            // As in `flight`: from the first-base side for a right-handed hitter.
            let side_ft = match batted {
                Side::Right => room.side_ft.middle(),
                Side::Left => -room.side_ft.middle(),
            };
            fed("side-toss", side_ft)
        }
    }
}

/// The fastest that somebody feeds an environment by hand, mph.
pub(super) fn fastest_mph(environment: Environment) -> Option<f64> {
    let id = match environment {
        Environment::AngledToss => "front-toss",
        other => other.id(),
    };
    throws(id).map(|(machine, _)| machine.speed_mph.max)
}

fn throws(id: &str) -> Option<(MachineModel, Room)> {
    feed(id)?.throws
}

fn spin(machine: &MachineModel) -> Spin {
    match machine.wheels {
        flight::Wheels::Arm { backspin_rpm } => Spin::backspin(backspin_rpm),
        _ => Spin::default(),
    }
}
