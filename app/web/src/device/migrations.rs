//! The database's versions: one file a step, named from-version to-version.
//!
//! rexie removes every store that the list it is given does not name, so a step
//! gets the list of the version before and may only add to it.

mod v0_to_v1;
mod v1_to_v2;

use rexie::{Index, ObjectStore};

/// A store and the key paths of its indexes (each index is named by its path).
#[derive(Clone)]
pub struct Store {
    pub name: &'static str,
    pub key_path: &'static str,
    pub indexes: Vec<&'static str>,
}

type Step = fn(Vec<Store>) -> Vec<Store>;

/// The steps in order: step n leads from version n to version n + 1.
const STEPS: &[Step] = &[v0_to_v1::step, v1_to_v2::step];

/// The version this code opens.
pub const VERSION: u32 = STEPS.len() as u32;

/// All stores as of [`VERSION`].
pub fn stores() -> Vec<Store> {
    STEPS.iter().fold(Vec::new(), |stores, step| step(stores))
}

impl From<Store> for ObjectStore {
    fn from(store: Store) -> Self {
        store.indexes.into_iter().fold(
            Self::new(store.name).key_path(store.key_path),
            |made, path| made.add_index(Index::new(path, path)),
        )
    }
}
