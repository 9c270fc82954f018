//! Pure flight of a pitched ball and the set-up search.
//!
//! Lives here: units and what a coach types in them, air, balls, drag, lift,
//! the levels of play and the kinds of pitch as data, the flight itself, the
//! set-up search and its inverse, and the limits of every number a coach can
//! enter. Must not live here: storage, the browser, words of the screens,
//! anything that reads a clock or a file.
//!
//! Where to begin: [`Question::best`] answers "where do I put the machine, and
//! how fast?", [`Placed::stands_for`] "what pitch is that?", and
//! [`Placed::correct`] "the balls arrive low". [`find_set_up`] is the simpler
//! search on the sight line.
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
mod atmosphere;
mod ball;
mod bounded;
mod cannot;
mod card;
mod correct;
mod decimal;
mod drag;
mod error;
mod feed_timing;
mod feeds;
mod field;
mod flight;
mod lift;
mod machine;
mod march;
mod measure;
mod measured;
mod moist_air;
mod pitch;
mod pitch_type;
mod placed;
mod plane;
mod question;
mod random;
mod range;
mod read;
mod search;
mod sensitivity;
mod setup;
mod shot;
mod shown;
mod span;
mod speed;
mod spin;
mod uncertainty;
pub mod units;
mod weather;
mod wheels;

pub use aim::Aimed;
pub use air::Air;
pub use ball::{
    BALLS, BASEBALL, Ball, BallKind, DIMPLED_MACHINE_BALL, FOAM_BALL, LIGHT_BALL, SOFTBALL_11,
    SOFTBALL_12, ball_kind,
};
pub use cannot::{CannotMatch, Component, Limit, LimitEnd};
pub use card::QuickCard;
pub use correct::{Correction, SeenOff};
pub use drag::Drag;
pub use error::{FlightError, SetUpError};
pub use feed_timing::{FeedTiming, feed_timing};
pub use feeds::{FEEDS, Feed, FeedMatch, Verdict, feed};
pub use field::{LEVELS, Level, Sport, level};
pub use flight::{Arrival, Flight, GRAVITY_M_S2, Launch};
pub use lift::Lift;
pub use machine::{MachineModel, Room};
pub use measure::{Length, LengthUnit, Speed, SpeedUnit, UnitSystem};
pub use measured::{Radar, TimedSpeed};
pub use pitch::Pitch;
pub use pitch_type::{PITCH_TYPES, PitchType, pitch_type};
pub use placed::{Placed, USUAL_SWING_S, WhatPitch};
pub use plane::{PLATE_FRONT_IN, Plane, TYPICAL_CONTACT_DEPTH_IN};
pub use question::{MatchError, Question, Scales, Solution};
pub use range::{Field, Range, RangeError, allowed};
pub use read::{ReadError, read_length, read_number, read_speed};
pub use sensitivity::{Change, STEP_FT, Sensitivity};
pub use setup::{
    GamePitch, Leftover, Machine, MachineSetting, Release, Seen, SetUp, StandsFor, find_set_up,
    stands_for,
};
pub use shown::{ShownUnit, read_field};
pub use span::Span;
pub use spin::Spin;
pub use uncertainty::{Ranges, SettingErrors};
pub use weather::{AirChange, Weather};
pub use wheels::{CannotSpin, USUAL_PLATE_SLIP, WheelBall, Wheels};
