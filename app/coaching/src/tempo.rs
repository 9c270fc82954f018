//! One tempo: the count over sets and settings, its beats, and how it is heard or
//! felt. No clock, no sound and no sensors here: the caller brings samples and times.

pub mod beats;
pub mod cannot;
pub mod clocks;
pub mod delay;
pub mod drift;
mod error;
pub mod motion;
pub mod numbers;
pub mod onset;
pub mod pace;
mod robust;
pub mod same;
pub mod spoken;
pub mod stepping;

pub use error::TempoError;
