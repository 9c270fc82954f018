//! Records to write: all invented.

use crate::chance::Chance;
use notebook::{
    Code, DeviceId, Field, Fields, Head, Hitter, HittingContext, RecordId, Rep, StampClock,
};
use std::collections::BTreeMap;

fn code(text: &str) -> Code {
    Code::new(text).expect("a valid code")
}

/// A hitter named `name`.
#[must_use]
pub fn hitter(id: RecordId, name: &str, clock: &StampClock) -> Hitter {
    let field = |text| Field::new(code(text), clock.stamp());
    Hitter {
        head: Head::new(id, clock),
        name: Field::new(name.to_owned(), clock.stamp()),
        bats: field("right"),
        sport: field("baseball"),
        level: field("baseball-adult"),
        numbers: Fields::new(),
        choices: Fields::new(),
        texts: Fields::new(),
    }
}

/// A rep of that hitter.
#[must_use]
pub fn rep(id: RecordId, hitter: RecordId, clock: &StampClock, chance: &mut Chance) -> Rep {
    Rep {
        head: Head::new(id, clock),
        hitter,
        set: RecordId::from_bytes(chance.sixteen()),
        number: 1,
        context: HittingContext {
            side: code("right"),
            feed: code("left"),
            sport: code("baseball"),
            level: code("baseball-adult"),
            environment: code("tee"),
        },
        count_s: f64::from(u32::try_from(chance.below(3000)).unwrap_or(0)) / 1000.0,
        taken_by: code("two-taps"),
        numbers: BTreeMap::new(),
        choices: BTreeMap::new(),
    }
}

/// The device with this number.
#[must_use]
pub fn device(number: u8) -> DeviceId {
    DeviceId::from_bytes([number; 16])
}
