//! One tempo: the count over sets and settings, its beats, and how it is heard or
//! felt. No clock, no sound and no sensors here: the caller brings samples and times.

pub mod onset;
