//! Contact by sound.
