//! Sets that follow each other with one target, from beats that are all heard to
//! none.

use super::super::TempoError;
use super::{Plan, Timetable};
use crate::count::Target;
use crate::vocabulary::Environment;

/// How much of the count the hitter is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Every beat and contact.
    Follow,
    /// Every third beat is muted, counted through the set, contact too.
    Silent,
    /// The lift alone: the hitter keeps the count and then learns what it was.
    SelfCheck,
}

impl Mode {
    /// Whether the beat of this number, 1 the first after the first lift of the
    /// set, is muted.
    pub(super) const fn mutes(self, beat: u32) -> bool {
        match self {
            Self::Follow => false,
            Self::Silent => beat.is_multiple_of(3),
            Self::SelfCheck => true,
        }
    }

    /// The words, to stand within a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Follow => "follow the beats",
            Self::Silent => "every third beat is silent",
            Self::SelfCheck => "keep the count yourself",
        }
    }
}

/// One set of a ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rung {
    /// Where the ball comes from.
    pub environment: Environment,
    /// How much of the count is given.
    pub mode: Mode,
    /// Reps.
    pub reps: u8,
}

/// The ladder of a player alone, 20 reps in three sets: eight to follow, six with
/// silent beats, six by self check (our choice, no source).
///
/// # Errors
/// When the environment is another than tee or medicine ball: alone, no ball is
/// thrown or fed.
pub fn alone_rungs(environment: Environment) -> Result<[Rung; 3], TempoError> {
    if !matches!(environment, Environment::Tee | Environment::MedicineBall) {
        return Err(TempoError::Alone);
    }
    let sets = [(Mode::Follow, 8), (Mode::Silent, 6), (Mode::SelfCheck, 6)];
    Ok(sets.map(|(mode, reps)| Rung {
        environment,
        mode,
        reps,
    }))
}

/// The ladder of a player alone as a timetable, with 3 s from announcement to lift
/// and 10 s of rest (our choice, no source).
///
/// # Errors
/// As [`alone_rungs`], and when `beats` is out of range.
pub fn alone(target: Target, beats: u8, environment: Environment) -> Result<Timetable, TempoError> {
    Timetable::of(&Plan {
        target,
        beats,
        rungs: &alone_rungs(environment)?,
        announce_s: 3.0,
        rest_s: 10.0,
        delivery: None,
    })
}
