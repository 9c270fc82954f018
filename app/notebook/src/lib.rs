//! Records of a hitter's notebook, their stamps and how two copies of a record
//! merge.
//!
//! Pure: no browser, no I/O, no storage. This crate knows nothing of swings
//! beyond the record types it carries: what an item, an environment or a level
//! *means* is known to `coaching` and `flight`, and stands here as a [`Code`].

#[cfg(feature = "log")]
mod change;
mod clock;
mod code;
mod error;
mod field;
mod id;
#[cfg(feature = "log")]
pub mod merge;
#[cfg(feature = "log")]
pub mod plan;
mod record;
mod records;
mod role;
mod stamp;
#[cfg(feature = "sync")]
pub mod sync;

#[cfg(feature = "log")]
pub use change::Change;
pub use clock::StampClock;
pub use code::Code;
pub use error::Error;
pub use field::{Field, Fields, Past, write_named};
pub use id::{DeviceId, RecordId};
pub use record::{Head, Kind, Record, SCHEMA};
pub use records::{
    Check, Contact, Equipment, Group, Hitter, HittingContext, Join, Observation, Outcome, Own, Rep,
    Round, Session, SetUp,
};
pub use stamp::Stamp;
/// Time as the hybrid logical clock counts it: seconds since 1970 in the upper
/// 32 bits, fractions of a second in the lower 32.
pub use uhlc::NTP64;
