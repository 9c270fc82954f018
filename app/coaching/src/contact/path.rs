//! What a set of firm side tosses says of the path of the bat: the chances of
//! three classes by Bayes, and when to say "not yet". Which balls are evidence
//! is in [`side_toss`](super::side_toss), where the chances come from in
//! `path_model`.
//!
//! The trade's rule of thumb (common practice, no source): on a firm side toss
//! straight at the front hip, aimed up the middle, a path that comes down
//! across the ball rolls it over to the pull side, a level one goes through the
//! middle, an uphill one flares it to the opposite side. One ball says little:
//! hitters differ in more than the path, and so do balls. Each hitter is taken
//! to keep one path through the set.
//!
//! Before the first ball each class is a third.

use super::lean::not_yet;
use super::path_model::{CELLS, CLASSES, Hitter, hitters};
use super::side_toss::{LeftOut, SideTossBall};
use crate::vocabulary::{Side, list};

pub use super::path_model::{AIM_DEG, BAT_SPEED_MPH, ClassSpreads, EYE_DEG, SPREADS, Spread};

list! {
    /// The three classes of path.
    PathClass {
        /// Comes down across the ball.
        DownAcross = "down-across", "Down across the ball";
        /// Level through the ball.
        LevelThrough = "level-through", "Level through the ball";
        /// Up through the ball.
        Uphill = "uphill", "Uphill";
    }
}

/// Balls that count before a path is spoken of (our choice, no source).
pub const AT_LEAST: u32 = 12;

/// The chance from which a class is named: four to one against the others
/// together (our choice, no source).
pub const SURE: f64 = 0.8;

/// The most reps that are asked for more; when it would take more, the balls do
/// not tell.
const MOST_MORE: u32 = 60;
/// What is wanted more of.
const COUNTS: [&str; 2] = ["rep that counts", "reps that count"];

/// How many times the expected number of reps is asked for: the first class may
/// be wrong, and what balls tell gets less. With 2, about half of the hitters
/// are told after those reps (a test says so).
const CAREFUL: f64 = 2.0;

/// The hitters that the balls are held against. Made once and kept: it takes
/// some thousands of collisions, about a millisecond on a computer.
#[derive(Debug, Clone, PartialEq)]
pub struct PathModel {
    hitters: Vec<Hitter>,
}

impl Default for PathModel {
    fn default() -> Self {
        Self { hitters: hitters() }
    }
}

impl PathModel {
    /// What is believed before the first ball.
    pub fn belief(&self) -> Belief<'_> {
        Belief {
            model: self,
            weights: self.hitters.iter().map(|hitter| hitter.weight).collect(),
            used: 0,
            left_out: [0; LeftOut::ALL.len()],
        }
    }

    /// What is believed after a set of balls, in any order.
    pub fn after(&self, balls: &[SideTossBall], batted: Side) -> Belief<'_> {
        let mut belief = self.belief();
        for ball in balls {
            belief.take(ball, batted);
        }
        belief
    }
}

/// What is believed of one hitter's path: of every hitter of the model, how
/// likely it is that this one is like that.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief<'a> {
    model: &'a PathModel,
    weights: Vec<f64>,
    used: u32,
    left_out: [u32; LeftOut::ALL.len()],
}

/// What may be said of the path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PathVerdict {
    /// Not yet: about so many more reps that count. Below [`AT_LEAST`] these
    /// are what is missing; above, what is expected to make one class sure.
    NotYet {
        /// How many more.
        more: u32,
    },
    /// One class has at least [`SURE`].
    Class(PathClass),
    /// Balls like these will not tell within reason.
    CannotTell,
}

impl Belief<'_> {
    /// Takes one ball in: as evidence, or counted among those left out.
    pub fn take(&mut self, ball: &SideTossBall, batted: Side) {
        match ball.cell(batted) {
            Err(why) => self.left_out[why as usize] += 1,
            Ok(cell) => {
                self.used += 1;
                for (weight, hitter) in self.weights.iter_mut().zip(&self.model.hitters) {
                    *weight *= hitter.cells[cell];
                }
                let sum: f64 = self.weights.iter().sum();
                for weight in &mut self.weights {
                    *weight /= sum;
                }
            }
        }
    }

    /// Balls that were taken as evidence.
    pub const fn used(&self) -> u32 {
        self.used
    }

    /// Balls left out for a reason.
    pub const fn left_out(&self, why: LeftOut) -> u32 {
        self.left_out[why as usize]
    }

    /// The chance of each class, together 1, in the order of the list.
    pub fn chances(&self) -> [f64; CLASSES] {
        let mut chances = [0.0; CLASSES];
        for (weight, hitter) in self.weights.iter().zip(&self.model.hitters) {
            chances[hitter.class] += weight;
        }
        chances
    }

    /// What may be said.
    pub fn verdict(&self) -> PathVerdict {
        if self.used < AT_LEAST {
            return PathVerdict::NotYet {
                more: AT_LEAST - self.used,
            };
        }
        let chances = self.chances();
        let mut order = [0, 1, 2];
        order.sort_by(|a, b| chances[*b].total_cmp(&chances[*a]));
        let [first, second, _] = order;
        if chances[first] >= SURE {
            return PathVerdict::Class(PathClass::ALL[first]);
        }
        let lacks = (SURE / (1.0 - SURE) * (1.0 - chances[first]) / chances[first]).ln();
        let more = (CAREFUL * lacks / self.a_ball_tells(first, second)).ceil();
        if more <= f64::from(MOST_MORE) {
            PathVerdict::NotYet {
                more: (more as u32).max(1),
            }
        } else {
            PathVerdict::CannotTell
        }
    }

    /// How much the next ball is expected to tell the first class from the
    /// second if the first is right: the divergence of the two, nats.
    fn a_ball_tells(&self, first: usize, second: usize) -> f64 {
        let mut cells = [[0.0; CELLS]; CLASSES];
        for (weight, hitter) in self.weights.iter().zip(&self.model.hitters) {
            for (sum, chance) in cells[hitter.class].iter_mut().zip(hitter.cells) {
                *sum += weight * chance;
            }
        }
        let chances = self.chances();
        let [right, other] = [first, second]
            .map(|class| cells[class].map(|sum| sum / chances[class].max(f64::MIN_POSITIVE)));
        let tells = |(p, q): (&f64, &f64)| match *p > 0.0 && *q > 0.0 {
            true => p * (p / q).ln(),
            false => 0.0,
        };
        right.iter().zip(&other).map(tells).sum()
    }

    /// What the balls say, in words: the chances, the balls that count, those
    /// left out and why, and the verdict.
    pub fn sentence(&self) -> String {
        let balls = if self.used == 1 {
            "ball counts"
        } else {
            "balls count"
        };
        let mut text = format!("{} {balls}", self.used);
        for (place, why) in LeftOut::ALL
            .iter()
            .filter(|why| self.left_out(**why) > 0)
            .enumerate()
        {
            let before = if place == 0 { "; left out: " } else { ", " };
            text = format!("{text}{before}{} {}", self.left_out(*why), why.name());
        }
        match self.verdict() {
            PathVerdict::NotYet { more } if self.used < AT_LEAST => {
                format!("{text}. The path, {}.", not_yet(more, COUNTS))
            }
            PathVerdict::NotYet { more } => format!(
                "{text}. {} The path, about {}.",
                self.chances_sentence(),
                not_yet(more, COUNTS)
            ),
            PathVerdict::CannotTell => format!(
                "{text}. {} These balls do not tell the path: watch it from the open side, behind a screen.",
                self.chances_sentence()
            ),
            PathVerdict::Class(class) => format!(
                "{text}. {} The balls say: {}. Watch it from the open side, behind a screen, before you work on it.",
                self.chances_sentence(),
                class.name().to_ascii_lowercase()
            ),
        }
    }

    fn chances_sentence(&self) -> String {
        let [down, level, up] = self.chances().map(|chance| 100.0 * chance);
        format!("Down across the ball {down:.0}%, level through it {level:.0}%, uphill {up:.0}%.")
    }
}
