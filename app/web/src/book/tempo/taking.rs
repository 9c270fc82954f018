//! A count is taken: by taps, by what was heard, by what was sensed.

use super::held::Held;
use super::run::Tempo;
use super::way::Way;
use crate::state::{Taken, names};
use crate::words::fixed;
use coaching::count::{CountError, Taps, checked_count_s};
use coaching::tempo::motion::{Mark, Swing};
use leptos::prelude::*;
use notebook::RecordId;

/// Two presses closer than this are one that bounced, ms (our choice, no source).
const BOUNCE_MS: f64 = 60.0;

/// To the microsecond, as counts by taps are.
pub fn rounded_s(count_s: f64) -> f64 {
    (count_s * 1e6).round() / 1e6
}

impl Tempo {
    /// A tap by pointer or key at `at_ms`, the event's own time.
    pub fn tap(self, at_ms: f64) {
        if (at_ms - self.last_tap_ms.get_value()).abs() < BOUNCE_MS {
            return;
        }
        self.last_tap_ms.set_value(at_ms);
        match (self.way.get_untracked(), self.lift_ms.get_untracked()) {
            (Way::Played | Way::Motion, _) => {}
            (Way::Sound, _) => self.lift_ms.set(Some(at_ms)),
            (Way::Taps, None) => self.lift_ms.set(Some(at_ms)),
            (Way::Taps, Some(_))
                if self.with_foot.get_untracked() && self.foot_ms.get_untracked().is_none() =>
            {
                self.foot_ms.set(Some(at_ms));
            }
            (Way::Taps, Some(lift_ms)) => self.tapped(lift_ms, at_ms),
        }
    }

    fn tapped(self, lift_ms: f64, contact_ms: f64) {
        let foot_ms = self.foot_ms.get_untracked();
        self.forget();
        let taps = Taps {
            lift_ms,
            contact_ms,
        };
        match taps.count_s() {
            Ok(count_s) => {
                let mut taken = self.taken(count_s, names::rep::TWO_TAPS);
                if let Some(foot_ms) = foot_ms {
                    let down_s = rounded_s((contact_ms - foot_ms) / 1e3);
                    taken.numbers.push((names::rep::FOOT_DOWN, down_s));
                }
                self.keep(taken);
            }
            Err(error @ CountError::TooLong { .. }) => {
                self.lift_ms.set(Some(contact_ms));
                self.said.set(format!("{error} This tap is the new lift."));
            }
            Err(error) => self.said.set(error.to_string()),
        }
    }

    /// A contact that the microphone heard at `contact_ms` of the page.
    pub fn heard(self, contact_ms: f64) {
        if self.running.with_untracked(Option::is_some) {
            self.gear
                .update_value(|gear| gear.heard_ms.push(contact_ms));
            if self.lift_by_beat.get_untracked() {
                // Put to its rep when that is over.
                return;
            }
        }
        let Some(lift_ms) = self.lift_ms.get_untracked() else {
            return;
        };
        let search = self.search(lift_ms / 1e3, false);
        let Some(count_s) = search.count_s(contact_ms / 1e3) else {
            return;
        };
        self.forget();
        let mut taken = self.taken(rounded_s(count_s), names::rep::SOUND);
        taken.choices.push((names::rep::LIFT_BY, "tap"));
        self.place_in_plan(&mut taken);
        self.keep(taken);
    }

    /// A swing that the sensors felt, on the page's clock. One with a poor mark is
    /// held back for the coach's word.
    pub fn felt(self, swing: &Swing) {
        let why = swing.quality.sentence();
        let Some(lift_ms) = swing.lift_ms else {
            self.said.set(format!("{why} No count."));
            return;
        };
        let count_s = rounded_s((swing.contact_ms - lift_ms) / 1e3);
        if let Err(error) = checked_count_s(count_s) {
            self.said.set(format!("{error} {why}"));
            return;
        }
        let is_poor = swing.quality.mark == Mark::Poor;
        let mut taken = match is_poor {
            true => self.unnumbered(count_s, names::rep::MOTION),
            false => self.taken(count_s, names::rep::MOTION),
        };
        taken.choices.push((names::rep::LIFT_BY, "motion"));
        let mark = swing.quality.mark.word();
        taken.choices.push((names::rep::QUALITY, mark));
        if is_poor {
            if let Some((set, number)) = self.place() {
                (taken.set, taken.number) = (set, number);
            }
            let hitter = self.desk.chosen.get_untracked();
            self.hold(Held { hitter, taken, why });
        } else {
            self.place_in_plan(&mut taken);
            self.keep(taken);
        }
    }

    /// Keeps what was held back.
    pub fn keep_held(self, mut taken: Taken) {
        if taken.number == 0 {
            taken.number = match taken.set == self.set.get_untracked() {
                true => self.next_number(),
                false => self.number_after(taken.set),
            };
        }
        self.keep(taken);
    }

    /// The number after the last of a set that is over.
    fn number_after(self, set: RecordId) -> u32 {
        let last = self.recent.with_untracked(|reps| {
            let of_set = reps.iter().flatten().filter(|rep| rep.set == set);
            of_set.map(|rep| rep.number).max()
        });
        last.unwrap_or(0) + 1
    }

    fn next_number(self) -> u32 {
        let number = self.next.get_value();
        self.next.set_value(number + 1);
        number
    }

    /// A count as the page stands, with the set's next number.
    pub fn taken(self, count_s: f64, taken_by: &'static str) -> Taken {
        Taken {
            number: self.next_number(),
            ..self.unnumbered(count_s, taken_by)
        }
    }

    fn unnumbered(self, count_s: f64, taken_by: &'static str) -> Taken {
        Taken {
            set: self.set.get_untracked(),
            number: 0,
            environment: self.desk.environment.get_untracked(),
            count_s,
            taken_by,
            numbers: vec![(names::rep::TARGET, untrack(|| self.target()).seconds())],
            choices: vec![(names::rep::MODE, self.mode.get_untracked().id())],
        }
    }

    /// Writes a count; when it is on disk, shows and says it.
    pub fn keep(self, taken: Taken) {
        let off = untrack(|| self.target()).sentence(taken.count_s);
        let hitter = self.desk.chosen.get_untracked();
        self.desk.keep_taken(&taken, move |rep| {
            if self.desk.chosen.get_untracked() != hitter {
                return;
            }
            self.recent
                .update(|reps| reps.get_or_insert_default().push(rep.clone()));
            let said = format!("Rep {}: {} s. {off}", rep.number, fixed(rep.count_s, 2));
            self.said.set(said);
        });
    }
}
