//! The time of day that simulated clocks read. A clock takes a plain function,
//! so the time stands in a thread's own variable; each phone sets it to its own
//! belief before it acts.

use notebook::NTP64;
use std::cell::Cell;
use std::time::Duration;

thread_local!(static WALL_S: Cell<u64> = const { Cell::new(0) });

/// Sets the time of day, in seconds since 1970.
pub fn set_wall_s(wall_s: u64) {
    WALL_S.set(wall_s);
}

/// The time of day as a stamp clock reads it.
pub fn wall() -> NTP64 {
    NTP64::from(Duration::from_secs(WALL_S.get()))
}
