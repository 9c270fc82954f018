//! How a history ends: everything works again, all must meet, and what was
//! confirmed is looked for.

use super::{Outcome, World};
use crate::phone::{Confirmed, Phone, Step};
use notebook::plan::Key;
use notebook::{DeviceId, Stamp};
use serde_json::Value;

/// Steps after which phones that can all talk must be in step.
const STEPS_TO_MEET: usize = 4_000;

impl World {
    pub(super) fn everything_works_again(&mut self) {
        for phone in &mut self.phones {
            phone.store.crash_percent = 0;
        }
        self.online.fill(true);
        self.told.push("everything works again".to_owned());
    }

    /// Steps of all phones in turn until none has anything left to do.
    pub(super) fn meet(&mut self) -> bool {
        let mut steps = 0;
        loop {
            let mut all_in_step = true;
            for one in 0..self.phones.len() {
                // A phone that was admitted before the relay went back waits
                // until another has brought the membership log again.
                while steps < STEPS_TO_MEET {
                    steps += 1;
                    match self.step(one, 0) {
                        Some(Step::InStep) => break,
                        Some(Step::Did) => all_in_step = false,
                        Some(_) | None => {
                            all_in_step = false;
                            break;
                        }
                    }
                }
            }
            let off: Vec<DeviceId> = self.left_out();
            off.into_iter().for_each(|off| self.goes_off(off));
            if all_in_step {
                return self.agree();
            }
            if steps >= STEPS_TO_MEET {
                return false;
            }
        }
    }

    /// Phones whose taking off was on its way when everything began to work.
    fn left_out(&self) -> Vec<DeviceId> {
        let owner = &self.phones[self.owner()];
        let log = owner.membership();
        let phones = self.phones.iter().map(Phone::me);
        phones
            .filter(|me| log.ever(*me).is_some() && log.device(*me).is_none())
            .collect()
    }

    /// Whether all have the same records. A read-only phone may know more: the
    /// last entries of a phone that was taken off, which only it had. It cannot
    /// write them into its own log, as a writer does.
    fn agree(&self) -> bool {
        let knows_more = |phone: &Phone| {
            let beyond = phone.store.rows().vector.missing_from(self.relay.tips());
            !phone.may_write() && !beyond.is_empty()
        };
        let first = self.phones[self.owner()].records();
        let mut phones = self.phones.iter();
        phones.all(|phone| phone.records() == first || knows_more(phone))
    }

    pub(super) fn outcome(self, converged: bool) -> Outcome {
        let mut told = self.told;
        for confirmed in &self.confirmed {
            let without = self.phones.iter().filter(|phone| !holds(phone, confirmed));
            told.extend(without.map(|phone| format!("{} lacks {confirmed:?}", phone.me())));
        }
        let everywhere =
            |confirmed: &&Confirmed| self.phones.iter().all(|phone| holds(phone, confirmed));
        let kept = self.confirmed.iter().filter(everywhere).count();
        Outcome {
            converged,
            confirmed: self.confirmed.len(),
            lost: self.confirmed.len() - kept,
            told,
        }
    }
}

/// Whether a phone has what was confirmed, standing or overwritten.
pub(super) fn holds(phone: &Phone, confirmed: &Confirmed) -> bool {
    let record = phone.records().get::<Key>(&confirmed.key);
    record.is_some_and(|record| has_stamp(record, confirmed.stamp))
}

fn has_stamp(value: &Value, stamp: Stamp) -> bool {
    match value {
        Value::String(text) => text.parse() == Ok(stamp),
        Value::Array(values) => values.iter().any(|value| has_stamp(value, stamp)),
        Value::Object(values) => values.values().any(|value| has_stamp(value, stamp)),
        _ => false,
    }
}
