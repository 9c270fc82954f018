//! Pure flight of a pitched ball and the set-up search.
//!
//! Lives here: units, air, ball, drag, lift, the levels of play as data, the
//! flight itself, the set-up search and its inverse, and the limits of every
//! number a coach can enter. Must not live here: storage, the browser, words
//! of the screens, anything that reads a clock or a file.
//!
//! # Axes
//!
//! `y` runs from the back point of the plate (`y = 0`) toward the pitcher, `z`
//! is up from plate level, `x` is to the right of someone who looks from the
//! plate to the mound. The three are right-handed. On the field, `+x` is the
//! first-base side. A right-handed pitcher, who looks the other way, lets go
//! of the ball at negative `x` (the third-base side), a left-handed one at
//! positive `x`.
//!
//! At the plate, descent is `atan2(-vz, -vy)` (positive: coming down) and the
//! side angle is `atan2(vx, -vy)` (positive: moving toward the first-base
//! side, as the ball of a right-handed pitcher does).

mod aim;
mod air;
mod ball;
mod drag;
mod error;
mod field;
mod flight;
mod lift;
mod march;
mod range;
mod setup;
mod speed;
pub mod units;

pub use aim::Aimed;
pub use air::Air;
pub use ball::{BASEBALL, Ball, SOFTBALL_11, SOFTBALL_12};
pub use drag::Drag;
pub use error::{FlightError, SetUpError};
pub use field::{LEVELS, Level, Sport, level};
pub use flight::{Arrival, Flight, GRAVITY_M_S2, Launch};
pub use lift::Lift;
pub use range::{Field, Range, RangeError, allowed};
pub use setup::{
    GamePitch, Leftover, Machine, MachineSetting, Release, Seen, SetUp, StandsFor, find_set_up,
    stands_for,
};
