//! Copies of one hitter on several phones that take in each other's directly:
//! merge alone, without log or relay.

use crate::time::{set_wall_s, wall};
use notebook::{Code, DeviceId, Field, Fields, Head, Hitter, Record, RecordId, StampClock};
/// A phone that only holds a copy.
pub struct Copy {
    clock: StampClock,
    /// Its copy of the hitter.
    pub hitter: Hitter,
}

/// `count` phones (at most 200) that each got the same hitter from the first one.
///
/// # Panics
/// Never: the codes used are valid.
#[must_use]
pub fn copies(count: u8) -> Vec<Copy> {
    set_wall_s(1_750_000_000);
    let clock_of = |n: u8| StampClock::start(DeviceId::from_bytes([n + 1; 16]), wall, None);
    let first = clock_of(0);
    let code = |text| Field::new(Code::new(text).expect("a valid code"), first.stamp());
    let hitter = Hitter {
        head: Head::new(RecordId::from_bytes([99; 16]), &first),
        name: Field::new("first".to_owned(), first.stamp()),
        bats: code("right"),
        sport: code("baseball"),
        level: code("baseball-adult"),
        numbers: Fields::new(),
        choices: Fields::new(),
        texts: Fields::new(),
    };
    (0..count)
        .map(|n| Copy {
            clock: clock_of(n),
            hitter: hitter.clone(),
        })
        .collect()
}

impl Copy {
    /// Edits the hitter's name.
    pub fn rename(&mut self, name: &str) {
        self.hitter.name.set(name.to_owned(), &self.clock);
    }

    /// Removes the hitter or brings it back.
    pub fn set_removed(&mut self, removed: bool) {
        self.hitter.head.set_removed(removed, &self.clock);
    }

    /// Takes in another phone's copy.
    pub fn take_in(&mut self, other: &Hitter) {
        self.hitter.merge(other);
    }
}
