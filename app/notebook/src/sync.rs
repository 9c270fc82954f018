//! What leaves the phone: the sealed log, the membership log, snapshots,
//! passes, and the messages between phone and relay.
//!
//! Pure: no I/O, no clock, no source of randomness; times and random numbers
//! are passed in. The exact bytes are pinned in `tests/devices/wire.rs`. Every signed
//! message begins with four letters of its own, so a signature over one kind
//! never passes for another.

pub mod acknowledgement;
pub mod batch;
pub mod club;
pub mod exchange;
pub mod file;
pub mod log;
pub mod membership;
pub mod passes;
pub mod problem;
pub mod recovery;
pub mod request;
pub mod run;
pub mod sealing;
pub mod snapshot;
pub mod words;

mod certificate;
mod hash;
mod keys;
mod secret;
mod vector;
mod wire;

pub use crate::Error;
pub use crate::role::Role;
pub use certificate::Certificate;
pub use hash::{Hash, NotebookId};
pub use keys::{Keys, NotebookKey};
pub use membership::Membership;
pub use secret::DeviceSecret;
pub use vector::{Point, Vector};
