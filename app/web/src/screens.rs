//! The screens: each shows a part of the desk and passes touches on to it.

pub mod home;

mod count;
mod hitters;
mod set_up;
mod settings;
mod swing_check;
