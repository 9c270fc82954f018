//! Who is at the plate, with that hitter's balls and swings.

use super::super::contacts::Ball;
use super::{Practice, Turn};
use crate::device::settings;
use coaching::loads::Day;
use coaching::vocabulary::Side;
use leptos::prelude::*;
use notebook::{Hitter, RecordId};
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;

/// Until the swings of a hitter who came to the plate are read.
const A_MOMENT: Duration = Duration::from_millis(700);

impl Practice {
    /// Puts a hitter to the plate: a new turn.
    pub fn turn_to(self, id: RecordId) {
        self.hitter.set(Some(id));
        self.rounds.set_value(Vec::new());
        self.turn.set(Turn::default());
        self.fixing.set(false);
        // At once, and not when the rest of the hitter's desk is read: the next
        // touch may come before.
        let side = settings::of_hitter("side", id).and_then(|side| Side::from_id(&side));
        self.desk.side.set(side);
        self.desk.choose(id);
        self.set_next();
        self.read_swings(id);
    }

    /// Puts the next of the rotation to the plate.
    pub fn next_hitter(self) {
        let rotation = untrack(|| self.rotation());
        let now = self.hitter.get_untracked();
        let place = rotation.iter().position(|id| Some(*id) == now);
        let next = place.map_or(0, |place| (place + 1) % rotation.len().max(1));
        if let Some(next) = rotation.get(next) {
            self.turn_to(*next);
        }
    }

    /// The record of the hitter at the plate.
    pub fn at_plate(self) -> Option<Hitter> {
        let id = self.hitter.get()?;
        let of = |all: &Vec<Hitter>| all.iter().find(|hitter| hitter.head.id == id).cloned();
        self.desk.hitters.with(of)
    }

    pub(super) fn read_swings(self, id: RecordId) {
        self.swings.set(None);
        let session = self.session.with_untracked(|s| Some(s.as_ref()?.head.id));
        let read = async move {
            if self.hitter.get_untracked() != Some(id) {
                return;
            }
            let read = self.desk.swings(id, session).await;
            if self.hitter.get_untracked() != Some(id) {
                return;
            }
            match read {
                Ok(days) => self.swings.set(Some(days)),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        };
        // The first ball after a change of hitter goes before a week of swings.
        set_timeout(move || spawn_local(read), A_MOMENT);
    }

    /// Every swing of the hitter at the plate over the last days, this session's
    /// included; `None` until the others are read.
    pub fn days(self) -> Option<Vec<Day>> {
        self.counted.track();
        let here = self.hitter.get()?;
        let mut days = self.swings.get()?;
        self.balls.with_value(|balls| {
            let of_hitter = balls.iter().filter(|ball| ball.hitter == here);
            days.extend(of_hitter.filter(|ball| ball.is_swing()).map(|ball| Day {
                day: ball.day,
                swings: 1,
            }));
        });
        Some(days)
    }

    /// The balls of one hitter in this session.
    pub fn balls_of(self, hitter: RecordId) -> Vec<Ball> {
        self.counted.track();
        self.balls.with_value(|balls| {
            let of_hitter = balls.iter().filter(|ball| ball.hitter == hitter);
            of_hitter.copied().collect()
        })
    }
}
