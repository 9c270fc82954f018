//! The clock that gives stamps.

use crate::{DeviceId, NTP64, Stamp};
use std::time::Duration;
use uhlc::{HLC, HLCBuilder, ID, Timestamp};

/// Further ahead than this and the user is told that a clock is off. Phones
/// keep time within seconds; a quarter of an hour is a clock set by hand.
const FAR_OFF: Duration = Duration::from_secs(15 * 60);

/// A hybrid logical clock for one device.
///
/// It never refuses: a stamp from a phone whose clock is years ahead is taken,
/// and all later stamps of this device lie above it. [`StampClock::far_off`]
/// says when to warn.
pub struct StampClock {
    hlc: HLC,
    device: DeviceId,
    wall: fn() -> NTP64,
}

impl StampClock {
    /// A clock for `device` that reads the time of day from `wall` and gives
    /// stamps above `last`, the last one this device kept.
    #[must_use]
    pub fn start(device: DeviceId, wall: fn() -> NTP64, last: Option<Stamp>) -> Self {
        let hlc = HLCBuilder::new()
            .with_id(id_of(device))
            .with_clock(wall)
            // The largest drift an NTP64 can hold: refusing is not our way.
            .with_max_delta(Duration::from_secs(u64::from(u32::MAX)))
            .build();
        let clock = Self { hlc, device, wall };
        if let Some(last) = last {
            clock.see(last);
        }
        clock
    }

    /// A new stamp, above all given and seen before.
    #[must_use]
    pub fn stamp(&self) -> Stamp {
        Stamp::new(*self.hlc.new_timestamp().get_time(), self.device)
    }

    /// A new stamp that also lies above `replaced`: a new edit always wins over
    /// the value it replaces, whatever the clocks say.
    #[must_use]
    pub fn stamp_above(&self, replaced: Stamp) -> Stamp {
        self.see(replaced);
        self.stamp()
    }

    /// Takes note of a stamp from elsewhere.
    pub fn see(&self, stamp: Stamp) {
        let seen = Timestamp::new(stamp.time(), id_of(stamp.device()));
        // Cannot exceed the drift allowed above, which is all there is.
        let _ = self.hlc.update_with_timestamp(&seen);
    }

    /// How far `stamp` lies ahead of this device's time of day, when that is so
    /// far that the user should look at the clocks (15 minutes or more).
    #[must_use]
    pub fn far_off(&self, stamp: Stamp) -> Option<Duration> {
        let ahead = stamp
            .time()
            .to_duration()
            .checked_sub((self.wall)().to_duration())?;
        (ahead >= FAR_OFF).then_some(ahead)
    }
}

/// The clock's id of a device. An id of all zeros is not allowed there; a UUID
/// is never all zeros, so the fallback stands for no real device.
fn id_of(device: DeviceId) -> ID {
    ID::try_from(device.as_bytes()).unwrap_or_else(|_| ID::rand())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    thread_local!(static WALL_S: Cell<u64> = const { Cell::new(1_700_000_000) });

    fn wall() -> NTP64 {
        NTP64::from(Duration::from_secs(WALL_S.get()))
    }

    fn device(n: u8) -> DeviceId {
        DeviceId::from_bytes([n; 16])
    }

    #[test]
    fn stamps_rise_while_the_time_of_day_stands_still() {
        let clock = StampClock::start(device(1), wall, None);
        let stamps: Vec<Stamp> = (0..1000).map(|_| clock.stamp()).collect();
        assert!(stamps.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn a_clock_set_back_while_the_phone_was_off_still_stamps_above_the_last() {
        let last = StampClock::start(device(1), wall, None).stamp();
        WALL_S.set(1_600_000_000);
        let clock = StampClock::start(device(1), wall, Some(last));
        assert!(clock.stamp() > last);
    }

    #[test]
    fn a_stamp_ten_years_ahead_is_taken_warned_of_and_outdone() {
        let other = Stamp::new(
            NTP64::from(Duration::from_secs(WALL_S.get() + 315_000_000)),
            device(2),
        );
        let clock = StampClock::start(device(1), wall, None);
        assert!(clock.far_off(other).is_some());
        assert!(clock.stamp_above(other) > other);
    }

    #[test]
    fn a_clock_a_minute_ahead_is_no_cause_for_a_warning() {
        let other = Stamp::new(
            NTP64::from(Duration::from_secs(WALL_S.get() + 60)),
            device(2),
        );
        assert!(
            StampClock::start(device(1), wall, None)
                .far_off(other)
                .is_none()
        );
    }
}
