//! When and on which device a value was written.

use crate::{DeviceId, Error, NTP64};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use std::time::Duration;

/// A reading of a hybrid logical clock: unique, and later than every stamp its
/// device had seen before.
///
/// Ordered by time, then by device, so that any two phones agree on which of
/// two stamps is the later one. Written as text in a fixed width (16 hexadecimal
/// digits of time, a hyphen, 32 of device), which sorts in the same order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Stamp {
    time: NTP64,
    device: DeviceId,
}

impl Stamp {
    /// The stamp of `device` at `time`.
    #[must_use]
    pub const fn new(time: NTP64, device: DeviceId) -> Self {
        Self { time, device }
    }

    /// The stamp of a value that nobody wrote: a default. Every edit, on any
    /// phone, lies above it.
    #[must_use]
    pub const fn of_default(device: DeviceId) -> Self {
        Self::new(NTP64(0), device)
    }

    /// The clock's time.
    #[must_use]
    pub const fn time(&self) -> NTP64 {
        self.time
    }

    /// The device that wrote.
    #[must_use]
    pub const fn device(&self) -> DeviceId {
        self.device
    }

    /// Time since 1970-01-01T00:00:00Z as the writing device believed it.
    #[must_use]
    pub fn since_1970(&self) -> Duration {
        self.time.to_duration()
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let device = u128::from_be_bytes(*self.device.as_bytes());
        write!(f, "{:016x}-{device:032x}", self.time.as_u64())
    }
}

impl FromStr for Stamp {
    type Err = Error;
    fn from_str(text: &str) -> Result<Self, Error> {
        let read = || {
            let (time, device) = text.split_once('-')?;
            let digits = |part: &str, n| {
                part.len() == n && part.bytes().all(|c| matches!(c, b'0'..=b'9' | b'a'..=b'f'))
            };
            if !digits(time, 16) || !digits(device, 32) {
                return None;
            }
            let time = NTP64(u64::from_str_radix(time, 16).ok()?);
            let device = u128::from_str_radix(device, 16).ok()?;
            Some(Self::new(time, DeviceId::from_bytes(device.to_be_bytes())))
        };
        read().ok_or_else(|| Error::Stamp(text.chars().take(80).collect()))
    }
}

impl TryFrom<String> for Stamp {
    type Error = Error;
    fn try_from(text: String) -> Result<Self, Error> {
        text.parse()
    }
}

impl From<Stamp> for String {
    fn from(stamp: Stamp) -> Self {
        stamp.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_stamp() -> impl Strategy<Value = Stamp> {
        (any::<u64>(), any::<[u8; 16]>())
            .prop_map(|(time, device)| Stamp::new(NTP64(time), DeviceId::from_bytes(device)))
    }

    proptest! {
        #[test]
        fn a_stamp_is_read_back_as_written(stamp in any_stamp()) {
            prop_assert_eq!(stamp.to_string().parse::<Stamp>().unwrap(), stamp);
        }

        #[test]
        fn the_text_of_stamps_sorts_as_the_stamps(a in any_stamp(), b in any_stamp()) {
            prop_assert_eq!(a.cmp(&b), a.to_string().cmp(&b.to_string()));
        }

        #[test]
        fn text_that_is_no_stamp_is_refused_without_panic(text in ".{0,60}") {
            if let Ok(stamp) = text.parse::<Stamp>() {
                prop_assert_eq!(stamp.to_string(), text);
            }
        }
    }
}
