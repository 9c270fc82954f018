//! A set is stopped, by the user or from outside: a call, the page hidden, the phone
//! locked. What was taken is kept, and what was cut off is said.

use super::run::{Left, Running, Stopped, Tempo};
use super::way::Way;
use crate::device::clock::page_now_ms;
use crate::device::page;
use crate::words::fixed;
use coaching::tempo::onset::Listener;
use leptos::prelude::*;

impl Running {
    /// What was not played yet.
    fn left(&self) -> Option<Left> {
        let next = self.reps.get(self.over)?;
        let done = next.number - 1;
        let mut sets = self.sets[next.set..].to_vec();
        sets[0].1.reps -= u8::try_from(done).unwrap_or(0);
        Some(Left {
            sets,
            first_set: self.first_set + next.set,
            first_reps: self.number(next) - 1,
            before: self.before + self.over,
        })
    }
}

impl Tempo {
    /// The rep that plays comes to its end before its time: a contact that was heard
    /// counts; one that might have been is said to be cut off.
    fn settle(self) -> String {
        let Some((player, running)) = self.playing() else {
            return String::new();
        };
        let Some(rep) = running.reps.get(running.over) else {
            return String::new();
        };
        let now_s = player.now_s() - running.start_s - self.delay_ms() / 1e3;
        if now_s < rep.lift_s || self.way.get_untracked() != Way::Sound {
            return String::new();
        }
        let tapped = self.lift_ms.get_untracked().is_some();
        if self.hears_by_beat() {
            if self.keep_heard(running.over) {
                self.running.update(|running| {
                    if let Some(running) = running {
                        running.over += 1;
                    }
                });
                return String::new();
            }
        } else if !tapped {
            return String::new();
        }
        format!(
            " Rep {} was cut off: a contact is told {} s after it is heard, and the sound ended \
             before. It is not measured.",
            running.number(rep),
            fixed(Listener::NEEDS_AFTER_S, 2)
        )
    }

    /// The user stops the set.
    pub fn stop(self) {
        let cut_off = self.settle();
        self.stop_playing();
        if !cut_off.is_empty() {
            self.said.set(cut_off.trim_start().to_owned());
        }
    }

    /// Something outside stopped the set: says so, and offers to go on.
    pub fn interrupted(self, why: &str) {
        // The browser may tell when the page of tempo is gone already.
        if !matches!(self.running.try_get_untracked(), Some(Some(_))) {
            return;
        }
        let cut_off = self.settle();
        let Some(Some(running)) = self.running.try_get_untracked() else {
            return;
        };
        let (over, total) = (
            running.before + running.over,
            running.before + running.total(),
        );
        self.stop_playing();
        self.forget();
        let said = format!(
            "{why} The set stopped after rep {over} of {total}. Every count taken so far is kept.{cut_off}"
        );
        match running.left() {
            Some(left) => self.stopped.set(Some(Stopped { why: said, left })),
            None => self.said.set(said),
        }
    }

    /// The page went out of sight, or came back.
    pub fn seen_changed(self) {
        let is_measuring = matches!(self.way.get_untracked(), Way::Sound | Way::Motion);
        let Some((player, _)) = self.playing() else {
            if is_measuring && page::is_hidden() {
                self.forget();
            } else if is_measuring && self.gear.with_value(|gear| gear.microphone.is_some()) {
                self.said.set(
                    "The page was hidden. What happened meanwhile may not have been heard; every \
                     count taken so far is kept."
                        .to_owned(),
                );
            }
            return;
        };
        if page::is_hidden() {
            self.hidden_at
                .set_value(Some((page_now_ms(), player.now_s())));
            if self.way.get_untracked() == Way::Taps {
                self.interrupted(
                    "The page was hidden or the phone locked, and the browser suspends such a page.",
                );
            }
            return;
        }
        let Some((page_ms, audio_s)) = self.hidden_at.get_value() else {
            return;
        };
        self.hidden_at.set_value(None);
        let away_s = (page_now_ms() - page_ms) / 1e3;
        if away_s - (player.now_s() - audio_s) > 0.25 {
            self.interrupted(
                "The page was hidden or the phone locked, and the browser suspended it.",
            );
        } else {
            self.said.set(format!(
                "The page was hidden for {} s. The sound went on; every count is kept.",
                fixed(away_s, 0)
            ));
        }
    }
}
