//! From nothing: hitters, swing checks, reps, and the device's own facts.

use super::{Index, Store};
use crate::device::database::{DEVICE_STORE, HEAD_ID};
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    let mut record_store = |kind: Kind, indexes: &[&'static str]| {
        stores.push(Store {
            indexes: indexes.iter().copied().map(Index::over).collect(),
            ..Store::keyed(kind.store(), HEAD_ID)
        });
    };
    record_store(Kind::Hitter, &[]);
    record_store(Kind::Check, &["hitter"]);
    record_store(Kind::Observation, &["check"]);
    record_store(Kind::Rep, &["hitter", "set"]);
    stores.push(Store::keyed(DEVICE_STORE, "key"));
    stores
}
