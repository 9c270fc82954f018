//! Sync: the device's own log, which notebooks are shared, and what the sync worker
//! keeps of each. Observations are found by hitter, as checks and reps are.

use super::{Index, Store};
use crate::device::database::{BY_HITTER, HEAD_ID};
use crate::device::log::{LOG, SHARED};
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    for store in &mut stores {
        if store.name == Kind::Observation.store() {
            store.indexes.push(Index {
                name: BY_HITTER,
                key_path: vec!["hitter", HEAD_ID],
            });
        }
    }
    stores.push(Store {
        numbered: true,
        indexes: vec![Index::over("subject")],
        ..Store::keyed(LOG, "n")
    });
    stores.push(Store::keyed(SHARED, "subject"));
    // The club's list of notebooks: records like any other.
    stores.push(Store::keyed("notebooks", HEAD_ID));
    // Records of kinds that only a newer version knows.
    stores.push(Store {
        indexes: vec![Index::over("subject")],
        ..Store::keyed("others", "key")
    });
    // The worker's: keys and how far each notebook is; membership logs; batches.
    for name in ["sync", "membership", "batches"] {
        stores.push(Store::keyed(name, "key"));
    }
    stores
}
