//! The target count as beats: when each rep is announced, lifted, counted and met,
//! laid out ahead for a scheduler. No clock here and no sound: times are seconds
//! from the start of the timetable.

mod cue;
mod ladder;
mod rep;

pub use cue::{Cue, Kind};
pub use ladder::{Mode, Rung, alone, alone_rungs};
pub use rep::RepTimes;

use super::TempoError;
use crate::count::Target;

/// From contact to the rest, seconds: a follow-through, and so that the cue for
/// the rest is not taken for contact (our choice, no source).
const SETTLE_S: f64 = 1.0;

/// A machine that is fed while the hitter counts, with a wait before each rep that
/// nobody can know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delivery<'a> {
    /// When the feed is started after the lift, seconds; negative when before
    /// (`flight::feed_timing` tells).
    pub feed_after_lift_s: f64,
    /// The longest wait that is added between announcement and lift, seconds.
    pub longest_wait_s: f64,
    /// A chance for each rep, evenly from 0 to 1: which share of the longest wait.
    pub chances: &'a [f64],
}

/// What a timetable is made from. One target for all rungs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan<'a> {
    /// The count that every rep has.
    pub target: Target,
    /// Into how many even steps the count is cut. The lift begins the first, contact
    /// ends the last: with three, "one, two, contact" after the lift.
    pub beats: u8,
    /// The sets, in order.
    pub rungs: &'a [Rung],
    /// From announcement to lift, seconds.
    pub announce_s: f64,
    /// From rest to the next announcement, seconds.
    pub rest_s: f64,
    /// A fed machine, if there is one.
    pub delivery: Option<Delivery<'a>>,
}

impl Plan<'_> {
    /// The most beats in a count.
    pub const MOST_BEATS: u8 = 8;
    /// The most reps of a timetable.
    pub const MOST_REPS: usize = 100;
    /// Seconds from announcement to lift, shortest and longest.
    pub const ANNOUNCE_S: (f64, f64) = (1.0, 10.0);
    /// Seconds from rest to the next announcement, shortest and longest.
    pub const REST_S: (f64, f64) = (2.0, 600.0);

    /// Into how many steps a count is cut when nothing else is said: two or more,
    /// each near half a second (our choice, no source).
    pub fn usual_beats(target: Target) -> u8 {
        ((target.seconds() / 0.5).round() as u8).clamp(2, Self::MOST_BEATS)
    }

    fn reps(&self) -> usize {
        self.rungs.iter().map(|rung| usize::from(rung.reps)).sum()
    }

    fn check(&self) -> Result<(), TempoError> {
        if !(1..=Self::MOST_BEATS).contains(&self.beats) {
            return Err(TempoError::Beats);
        }
        if !(1..=Self::MOST_REPS).contains(&self.reps()) {
            return Err(TempoError::Reps);
        }
        if !(Self::ANNOUNCE_S.0..=Self::ANNOUNCE_S.1).contains(&self.announce_s) {
            return Err(TempoError::Announce);
        }
        if !(Self::REST_S.0..=Self::REST_S.1).contains(&self.rest_s) {
            return Err(TempoError::Rest);
        }
        self.delivery
            .map_or(Ok(()), |delivery| self.check_delivery(&delivery))
    }

    fn check_delivery(&self, delivery: &Delivery) -> Result<(), TempoError> {
        if !(-10.0..=self.target.seconds()).contains(&delivery.feed_after_lift_s) {
            return Err(TempoError::Feed);
        }
        let is_chance = |chance: &f64| (0.0..=1.0).contains(chance);
        let fits = (0.0..=5.0).contains(&delivery.longest_wait_s)
            && delivery.chances.len() >= self.reps()
            && delivery.chances.iter().all(is_chance);
        if fits { Ok(()) } else { Err(TempoError::Wait) }
    }

    /// From the announcement of a rep (the first is 0) to its lift, seconds: a feed
    /// before the lift never comes before the announcement.
    fn lead_s(&self, rep: usize) -> f64 {
        let Some(delivery) = self.delivery else {
            return self.announce_s;
        };
        let wait_s = delivery.longest_wait_s * delivery.chances[rep];
        self.announce_s.max(-delivery.feed_after_lift_s) + wait_s
    }
}

/// All cues of a plan, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct Timetable {
    cues: Vec<Cue>,
    /// Reps of each set.
    sizes: Vec<u8>,
    reps: u16,
    ends_s: f64,
}

impl Timetable {
    /// Lays a plan out. The first announcement is at 0.
    ///
    /// # Errors
    /// When a part of the plan is out of range.
    pub fn of(plan: &Plan) -> Result<Self, TempoError> {
        plan.check()?;
        let mut table = Self {
            cues: Vec::new(),
            sizes: plan.rungs.iter().map(|rung| rung.reps).collect(),
            reps: 0,
            ends_s: 0.0,
        };
        for rung in plan.rungs {
            let mut heard_beats = 0;
            for _ in 0..rung.reps {
                table.add_rep(plan, rung, &mut heard_beats);
            }
        }
        Ok(table)
    }

    fn add_rep(&mut self, plan: &Plan, rung: &Rung, beats_so_far: &mut u32) {
        let announced_s = self.ends_s;
        let lift_s = announced_s + plan.lead_s(usize::from(self.reps));
        let count_s = plan.target.seconds();
        self.reps += 1;
        let rep = self.reps;
        let first = self.cues.len();
        let mut add = |at_s: f64, kind: Kind, is_muted: bool| {
            self.cues.push(Cue {
                at_s,
                rep,
                kind,
                is_muted,
                rung: *rung,
            });
        };
        add(announced_s, Kind::Announce, false);
        add(lift_s, Kind::Lift, false);
        for beat in 1..=plan.beats {
            *beats_so_far += 1;
            let is_muted = rung.mode.mutes(*beats_so_far);
            let (at_s, kind) = if beat == plan.beats {
                // Exactly the count after the lift, not a sum of steps.
                (lift_s + count_s, Kind::Contact)
            } else {
                let share = f64::from(beat) / f64::from(plan.beats);
                (lift_s + count_s * share, Kind::Beat(beat))
            };
            add(at_s, kind, is_muted);
        }
        if let Some(delivery) = plan.delivery {
            add(lift_s + delivery.feed_after_lift_s, Kind::Feed, false);
        }
        let rest_at_s = lift_s + count_s + SETTLE_S;
        add(rest_at_s, Kind::Rest, false);
        self.cues[first..].sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        self.ends_s = rest_at_s + plan.rest_s;
    }

    /// Every cue.
    pub fn cues(&self) -> &[Cue] {
        &self.cues
    }

    /// Reps in all.
    pub const fn reps(&self) -> u16 {
        self.reps
    }

    /// When the last rest is over, seconds from the start.
    pub const fn ends_s(&self) -> f64 {
        self.ends_s
    }

    /// The cues from one time up to, not with, another, seconds from the start.
    /// Slices that follow each other give each cue once, so a scheduler can put
    /// them on an audio clock ahead of time. For a late speaker, ask as far ahead
    /// as its delay and play each cue earlier by it.
    pub fn between(&self, from_s: f64, to_s: f64) -> &[Cue] {
        let place = |time_s: f64| self.cues.partition_point(|cue| cue.at_s < time_s);
        let from = place(from_s);
        &self.cues[from..place(to_s).max(from)]
    }

    /// What a cue says, for a voice or a screen.
    pub fn words(&self, cue: &Cue) -> String {
        match cue.kind {
            Kind::Announce => format!(
                "Rep {} of {}: {}, {}.",
                cue.rep,
                self.reps,
                cue.rung.environment.name(),
                cue.rung.mode.words()
            ),
            Kind::Feed => "Feed".to_owned(),
            Kind::Lift => "Lift".to_owned(),
            Kind::Beat(beat) => beat.to_string(),
            Kind::Contact => "Contact".to_owned(),
            Kind::Rest => "Rest".to_owned(),
        }
    }
}
