//! How the ball is fed: by a machine as its set-up was solved, by hand as the coach
//! says. A round holds one way; another way begins another round.

use super::super::{desk::code, names::round as fed};
use super::Practice;
use super::queue::Done;
use crate::device::database::Change;
use coaching::vocabulary::{Environment, Side};
use flight::{Placed, Spin};
use leptos::prelude::*;
use notebook::{Fields, HittingContext, RecordId, Round, StampClock, write_named};
use std::sync::Arc;

/// Whose feed: the hitter's, where the ball comes from, and for what is fed by hand
/// the side that is batted, as a side toss comes from the other side of the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeedKey {
    hitter: RecordId,
    environment: Environment,
    batted: Option<Side>,
}

impl FeedKey {
    /// The key of a feed.
    pub fn of(hitter: RecordId, environment: Environment, batted: Side) -> Self {
        let by_hand = environment != Environment::Machine;
        Self {
            hitter,
            environment,
            batted: by_hand.then_some(batted),
        }
    }

    /// The key of a round's feed.
    pub(super) fn of_context(hitter: RecordId, context: &HittingContext) -> Option<Self> {
        let environment = Environment::from_id(context.environment.as_str())?;
        let batted = Side::from_id(context.side.as_str())?;
        Some(Self::of(hitter, environment, batted))
    }
}

impl Practice {
    /// How the ball is fed in this session, if it is known.
    pub fn feed_of(self, key: FeedKey) -> Option<Placed> {
        self.fed.track();
        self.feeds.with_value(|feeds| {
            let found = feeds.iter().find(|known| known.0 == key);
            found.map(|known| known.1)
        })
    }

    pub(super) fn put_feed(self, key: FeedKey, placed: Placed) {
        self.feeds.update_value(|feeds| {
            feeds.retain(|known| known.0 != key);
            feeds.push((key, placed));
        });
    }

    /// How the machine of the hitter at the plate stands, as its set-up is solved:
    /// for the rounds to come, and for those of this turn that lack it.
    pub fn machine_stands(self, hitter: RecordId, placed: Placed) {
        if self.hitter.get_untracked() != Some(hitter) {
            return;
        }
        self.put_feed(
            FeedKey::of(hitter, Environment::Machine, Side::Right),
            placed,
        );
        let mut changes: Vec<Arc<dyn Change>> = Vec::new();
        self.rounds.update_value(|rounds| {
            let machine = Environment::Machine.id();
            for (round, _) in rounds {
                if round.context.environment.as_str() == machine && round.numbers.is_empty() {
                    let put = |stamps: &StampClock| put_numbers(round, placed, stamps);
                    self.desk.with_clock(put);
                    changes.push(Arc::new(round.clone()));
                }
            }
        });
        if changes.is_empty() {
            self.fed.update(|fed| *fed += 1);
        } else {
            self.enqueue(changes, Done::Fed);
        }
    }

    /// How the balls of the hitter at the plate are fed by hand from now on: in a
    /// round of its own, unless the present one has no ball yet.
    pub fn feed_by_hand(self, placed: Placed) {
        let Some(hitter) = untrack(|| self.at_plate()) else {
            return;
        };
        let Some(session) = self.session.with_untracked(|s| Some(s.as_ref()?.head.id)) else {
            return;
        };
        let context = self.desk.context(&hitter);
        let Some(key) = FeedKey::of_context(hitter.head.id, &context) else {
            return;
        };
        self.put_feed(key, placed);
        let empty = self.rounds.try_update_value(|rounds| {
            let is_empty = |known: &&mut (Round, u32)| known.0.context == context && known.1 == 1;
            let (round, _) = rounds.iter_mut().find(is_empty)?;
            self.desk
                .with_clock(|stamps| put_numbers(round, placed, stamps))?;
            Some(round.clone())
        });
        let round = match empty.flatten() {
            Some(round) => round,
            None => {
                let Some(round) = self.new_round(&hitter, session, context) else {
                    return;
                };
                self.rounds
                    .update_value(|rounds| rounds.push((round.clone(), 1)));
                round
            }
        };
        self.enqueue(vec![Arc::new(round)], Done::Fed);
    }
}

/// Whether the ball of a round was fed like this.
pub(super) fn is_fed(round: &Round, placed: Option<&Placed>) -> bool {
    let numbers = |placed: &Placed| {
        let Placed { spin, .. } = placed;
        [
            placed.distance_ft,
            placed.height_ft,
            placed.side_ft,
            placed.speed_mph,
            spin.backspin_rpm,
            spin.sidespin_rpm,
        ]
    };
    placed_of(&round.numbers).as_ref().map(numbers) == placed.map(numbers)
}

pub(super) fn put_numbers(round: &mut Round, placed: Placed, stamps: &StampClock) {
    for (name, value) in [
        (fed::DISTANCE, placed.distance_ft),
        (fed::HEIGHT, placed.height_ft),
        (fed::THIRD_SIDE, -placed.side_ft),
        (fed::SPEED, placed.speed_mph),
        (fed::BACKSPIN, placed.spin.backspin_rpm),
        (fed::SIDESPIN, placed.spin.sidespin_rpm),
    ] {
        write_named(
            &mut round.numbers,
            &code(name),
            value,
            round.head.made,
            stamps,
        );
    }
}

/// How the ball of a round was fed; `None` when nobody wrote it.
pub(super) fn placed_of(numbers: &Fields<f64>) -> Option<Placed> {
    let number = |name: &str| numbers.get(name).map(|field| *field.get());
    Some(Placed {
        distance_ft: number(fed::DISTANCE)?,
        height_ft: number(fed::HEIGHT)?,
        side_ft: -number(fed::THIRD_SIDE)?,
        speed_mph: number(fed::SPEED)?,
        spin: Spin {
            backspin_rpm: number(fed::BACKSPIN)?,
            sidespin_rpm: number(fed::SIDESPIN)?,
            gyro_rpm: 0.0,
        },
        // Of the ball only its flight from here on matters.
        ball: flight::BASEBALL,
    })
}
