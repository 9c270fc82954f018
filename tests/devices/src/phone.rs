//! One phone: the real log, exchange and sealing over simulated storage. What
//! it does here step by step is what the app does with IndexedDB and a network.

mod carry_out;
mod link;
mod membership;
mod snapshots;

pub use carry_out::Step;
pub use link::{Fate, Link};
pub use membership::Entering;

use crate::chance::Chance;
use crate::samples;
use crate::store::{Crash, Rows, Store};
use crate::time::{set_wall_s, wall};
use notebook::plan::Key;
use notebook::sync::exchange::{Ask, Here, There};
use notebook::sync::log::{Afterwards, Device};
use notebook::sync::{DeviceSecret, Membership, Vector, batch::Sealed};
use notebook::{Change, DeviceId, Kind, RecordId, Stamp, StampClock};
use serde_json::Value;

/// A write that the screen has confirmed: it must be found everywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirmed {
    /// Who wrote.
    pub by: DeviceId,
    /// Which record.
    pub key: Key,
    /// Stamp of the written value, or of the making.
    pub stamp: Stamp,
}

/// A phone that is switched on.
pub struct Phone {
    /// Its secret keys; kept in storage too, and never lost in a crash.
    pub secret: DeviceSecret,
    /// Its storage.
    pub store: Store,
    /// How far its clock is off, in seconds.
    pub skew_s: i64,
    clock: StampClock,
    membership: Membership,
    there: There,
    /// What it last set out to do, for whoever looks for a fault.
    pub last_ask: Option<Ask>,
}

impl Phone {
    /// Switches on a phone of which these rows are stored.
    ///
    /// # Panics
    /// When the stored membership log is not one: it was checked on its way in.
    #[must_use]
    pub fn start(secret: DeviceSecret, store: Store, skew_s: i64) -> Self {
        let rows = store.rows();
        let mut entries = rows.membership.iter();
        let first = entries.next().expect("a notebook has a first entry");
        let mut membership = Membership::found(first).expect("a stored log is sound");
        for entry in entries {
            membership.append(entry).expect("a stored log is sound");
        }
        Self {
            clock: StampClock::start(secret.device(), wall, rows.last),
            there: There::default(),
            last_ask: None,
            membership,
            secret,
            store,
            skew_s,
        }
    }

    /// Switches it off and on.
    #[must_use]
    pub fn restart(self) -> Self {
        Self::start(self.secret, self.store, self.skew_s)
    }

    /// The same phone once more, to try out what may happen next.
    #[must_use]
    pub fn fork(&self) -> Self {
        let me = self.secret.device();
        Self {
            secret: DeviceSecret::from_bytes(me, &self.secret.to_bytes()),
            store: self.store.clone(),
            skew_s: self.skew_s,
            clock: StampClock::start(me, wall, self.store.rows().last),
            membership: self.membership.clone(),
            there: self.there.clone(),
            last_ask: self.last_ask.clone(),
        }
    }

    /// What the exchange decides by: what is here, and what it believes of the
    /// relay.
    #[must_use]
    pub fn beliefs(&self) -> (Here, &There) {
        (self.here(), &self.there)
    }

    /// Which device.
    #[must_use]
    pub const fn me(&self) -> DeviceId {
        self.secret.device()
    }

    /// The membership log as it knows it.
    #[must_use]
    pub const fn membership(&self) -> &Membership {
        &self.membership
    }

    /// Whether it may write.
    #[must_use]
    pub fn may_write(&self) -> bool {
        let role = self.membership.role(self.me(), self.membership.epoch());
        role.is_some_and(notebook::sync::Role::may_write)
    }

    /// Sets the time of day to what this phone believes.
    pub fn look_at_clock(&self, now_s: u64) {
        set_wall_s(now_s.saturating_add_signed(self.skew_s));
    }

    /// Writes something: a new hitter, a new rep, another name, a removal or its
    /// taking back.
    ///
    /// # Errors
    /// [`Crash`]: then it was never confirmed.
    pub fn write(&mut self, chance: &mut Chance) -> Result<Confirmed, Crash> {
        let hitters = self.keys_in(Kind::Hitter);
        let id = RecordId::from_bytes(chance.sixteen());
        let (kind, written, stamp) = if hitters.is_empty() || chance.percent(15) {
            let hitter = samples::hitter(id, "first", &self.clock);
            (Kind::Hitter, json(&hitter), hitter.head.made)
        } else if chance.percent(50) {
            let of = chance.one_of(&hitters).1;
            let rep = samples::rep(id, of, &self.clock, chance);
            (Kind::Rep, json(&rep), rep.head.made)
        } else {
            let key = chance.one_of(&hitters).clone();
            let stored = self.store.rows().records[&key].clone();
            let mut hitter: notebook::Hitter =
                serde_json::from_value(stored).expect("a hitter is stored");
            let stamp = edit(&mut hitter, &self.clock, chance);
            (Kind::Hitter, json(&hitter), stamp)
        };
        let (me, last) = (self.me(), self.clock.stamp());
        let key = self
            .store
            .transact(chance, |rows| put(rows, me, kind, &written, last))?;
        Ok(Confirmed { by: me, key, stamp })
    }

    fn keys_in(&self, kind: Kind) -> Vec<Key> {
        let keys = self.store.rows().records.keys();
        keys.filter(|(store, _)| store == kind.store())
            .cloned()
            .collect()
    }

    fn here(&self) -> Here {
        let rows = self.store.rows();
        let me = self.me();
        Here {
            me,
            members: self.membership.len(),
            vector: rows.vector.clone(),
            hand_on: self.hand_on(),
            removed: rows.removed.clone(),
            proposed: rows.proposed.is_some(),
            waiting: !rows.waiting.is_empty() && self.may_write(),
            unsettled: !self.unsettled().is_empty(),
            owner: self.membership.owner() == me,
            acknowledged: rows.acknowledged.clone(),
        }
    }

    fn hand_on(&self) -> Vector {
        let rows = self.store.rows();
        let mut hand_on = rows.removed.clone();
        for bytes in rows.batches.values() {
            if let Ok(Sealed { header, .. }) = Sealed::read(bytes)
                && header.first == hand_on.last(header.device) + 1
                && self.membership.counts(&header)
            {
                hand_on.set(header.device, header.point());
            }
        }
        hand_on
    }

    /// Stored batches that a new epoch left out, and what becomes of each.
    fn unsettled(&self) -> Vec<((DeviceId, u32), Afterwards)> {
        let rows = self.store.rows();
        let device = self.device();
        let batches = rows.batches.iter().filter_map(|(at, bytes)| {
            let header = Sealed::read(bytes).ok()?.header;
            match device.after_new_epoch(&header) {
                Afterwards::Stands => None,
                Afterwards::Adopt if rows.adopted.contains(at) => None,
                afterwards => Some((*at, afterwards)),
            }
        });
        batches.collect()
    }

    fn device(&self) -> Device<'_> {
        Device {
            secret: &self.secret,
            membership: &self.membership,
            keys: &self.store.rows().keys,
        }
    }
}

fn json<R: notebook::Record>(record: &R) -> Value {
    serde_json::to_value(record).expect("records are JSON")
}

/// Another name, or a removal or its taking back; the stamp of the edit.
fn edit(hitter: &mut notebook::Hitter, clock: &StampClock, chance: &mut Chance) -> Stamp {
    if chance.percent(70) {
        let name = format!("name {}", chance.below(1_000_000_000));
        hitter.name.set(name, clock);
        let stamp = hitter.name.stamp();
        // Two edits in one write: the one between is confirmed like the other,
        // and is found among the overwritten values.
        if chance.percent(20) {
            hitter.name.set("at last".to_owned(), clock);
        }
        stamp
    } else {
        let removed = !hitter.head.is_removed();
        hitter.head.set_removed(removed, clock);
        let field = hitter.head.removed.as_ref();
        field.map_or(hitter.head.made, notebook::Field::stamp)
    }
}

/// The write as one transaction: the record merged into the stored copy, the
/// log entry, the last stamp.
fn put(rows: &mut Rows, me: DeviceId, kind: Kind, written: &Value, last: Stamp) -> Key {
    let whole = Change {
        store: kind.store().to_owned(),
        record: written.clone(),
    };
    let key = (
        kind.store().to_owned(),
        whole.id().expect("a record has an id"),
    );
    let change = Change::between(kind.store(), rows.records.get(&key), written);
    rows.merge(&[whole]);
    rows.log(me, change);
    rows.last = rows.last.max(Some(last));
    key
}
