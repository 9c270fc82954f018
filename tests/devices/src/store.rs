//! A phone's storage: everything that survives when it is switched off.
//! Changes go through transactions, and a crash at one leaves the store as it
//! was either before or after.

use crate::chance::Chance;
use notebook::plan::{Key, Plan};
use notebook::sync::batch::{Header, Held, Sealed};
use notebook::sync::{Hash, Keys, Point, Vector};
use notebook::{Change, DeviceId, Stamp};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// What a phone has stored of one notebook.
#[derive(Clone, Default)]
pub struct Rows {
    /// Records by store and id.
    pub records: BTreeMap<Key, Value>,
    /// Entries that are not sealed yet, by number.
    pub waiting: BTreeMap<u32, Change>,
    /// Sealed batches by author and first entry.
    pub batches: BTreeMap<(DeviceId, u32), Vec<u8>>,
    /// All entries applied.
    pub vector: Vector,
    /// Batches up to there are no longer stored.
    pub removed: Vector,
    /// Batches whose changes went into this phone's own log.
    pub adopted: BTreeSet<(DeviceId, u32)>,
    /// The membership log.
    pub membership: Vec<Vec<u8>>,
    /// An entry of our own on its way, and whether it has been sent.
    pub proposed: Option<(Vec<u8>, bool)>,
    /// The notebook's keys.
    pub keys: Keys,
    /// What the relay has of our acknowledgements.
    pub acknowledged: Vector,
    /// The last stamp.
    pub last: Option<Stamp>,
}

/// The phone went off in the middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Crash;

/// Whether a transaction is to crash, and on which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Power {
    /// It does not.
    Stays,
    /// It goes before the commit.
    FailsBefore,
    /// It goes after the commit, before anybody hears of it.
    FailsAfter,
}

/// The store of one phone.
#[derive(Clone, Default)]
pub struct Store {
    rows: Rows,
    /// How many transactions there have been.
    pub transactions: u64,
    /// Percent of transactions that crash.
    pub crash_percent: usize,
    /// The one transaction that crashes, whatever the chances.
    pub crash_at: Option<(u64, Power)>,
}

impl Store {
    /// What is stored.
    #[must_use]
    pub const fn rows(&self) -> &Rows {
        &self.rows
    }

    /// Carries out a transaction.
    ///
    /// # Errors
    /// [`Crash`] when the power fails at it; the rows are then as before or as
    /// after, never between.
    pub fn transact<T>(
        &mut self,
        chance: &mut Chance,
        work: impl FnOnce(&mut Rows) -> T,
    ) -> Result<T, Crash> {
        self.transactions += 1;
        let mut rows = self.rows.clone();
        let done = work(&mut rows);
        match self.power(chance) {
            Power::Stays => {
                self.rows = rows;
                Ok(done)
            }
            Power::FailsBefore => Err(Crash),
            Power::FailsAfter => {
                self.rows = rows;
                Err(Crash)
            }
        }
    }

    fn power(&self, chance: &mut Chance) -> Power {
        if let Some((at, power)) = self.crash_at
            && at == self.transactions
        {
            return power;
        }
        if chance.percent(self.crash_percent) {
            *chance.one_of(&[Power::FailsBefore, Power::FailsAfter])
        } else {
            Power::Stays
        }
    }
}

impl Rows {
    /// Number of the entry that this device writes next.
    #[must_use]
    pub fn next_number(&self, me: DeviceId) -> u32 {
        let waiting = self.waiting.last_key_value();
        1 + waiting.map_or_else(|| self.vector.last(me), |(number, _)| *number)
    }

    /// Puts the records of a plan.
    pub fn carry_out(&mut self, plan: Plan) {
        for step in plan.steps {
            self.records.insert(step.key, step.record);
        }
        self.last = self.last.max(plan.latest);
    }

    /// Merges changes into the records.
    pub fn merge(&mut self, changes: &[Change]) {
        let touched = notebook::plan::keys(changes);
        let stored = touched
            .into_iter()
            .filter_map(|key| Some((key.clone(), self.records.get(&key)?.clone())))
            .collect();
        self.carry_out(notebook::plan::plan(changes, &stored));
    }

    /// Logs an entry of this device.
    pub fn log(&mut self, me: DeviceId, change: Change) {
        let number = self.next_number(me);
        self.waiting.insert(number, change);
    }

    /// Stores a batch that comes next.
    pub fn put_batch(&mut self, header: &Header, bytes: Vec<u8>) {
        self.batches.insert((header.device, header.first), bytes);
        self.vector.set(header.device, header.point());
    }

    /// The stored batch that begins where `header` does.
    #[must_use]
    pub fn held(&self, header: &Header) -> Option<Held> {
        let bytes = self.batches.get(&(header.device, header.first))?;
        let held = Sealed::read(bytes).ok()?.header;
        Some(Held {
            content: held.content,
            epoch: held.epoch,
        })
    }

    /// The content hash of the stored batch that ends at `last`.
    #[must_use]
    pub fn hash_at(&self, author: DeviceId, last: u32) -> Option<Hash> {
        let range = (author, 0)..=(author, last);
        let (_, bytes) = self.batches.range(range).next_back()?;
        let header = Sealed::read(bytes).ok()?.header;
        (header.last == last).then_some(header.content)
    }

    /// Takes the place of batches by what a snapshot holds.
    pub fn skip_to(&mut self, author: DeviceId, point: Point) {
        self.batches
            .retain(|(device, first), _| *device != author || *first > point.last);
        self.vector.set(author, point);
        self.removed.set(author, point);
    }
}
