//! The database's versions: one file a step, named from-version to-version.
//!
//! rexie removes every store that the list it is given does not name, so a step
//! gets the list of the version before and may only add to it.

mod v0_to_v1;
mod v1_to_v2;
mod v2_to_v3;
mod v3_to_v4;
mod v4_to_v5;
mod v5_to_v6;

use rexie::ObjectStore;

/// An index of a store.
#[derive(Clone)]
pub struct Index {
    pub name: &'static str,
    /// One path, or several for a key of several parts.
    pub key_path: Vec<&'static str>,
}

impl Index {
    /// An index over one path, named by it.
    pub fn over(path: &'static str) -> Self {
        Self {
            name: path,
            key_path: vec![path],
        }
    }
}

/// A store with its indexes.
#[derive(Clone)]
pub struct Store {
    pub name: &'static str,
    pub key_path: &'static str,
    /// Whether the browser numbers the records in the order in which they come.
    pub numbered: bool,
    pub indexes: Vec<Index>,
}

impl Store {
    /// A store whose records carry their own key.
    pub const fn keyed(name: &'static str, key_path: &'static str) -> Self {
        Self {
            name,
            key_path,
            numbered: false,
            indexes: Vec::new(),
        }
    }
}

type Step = fn(Vec<Store>) -> Vec<Store>;

/// The steps in order: step n leads from version n to version n + 1.
const STEPS: &[Step] = &[
    v0_to_v1::step,
    v1_to_v2::step,
    v2_to_v3::step,
    v3_to_v4::step,
    v4_to_v5::step,
    v5_to_v6::step,
];

/// The version this code opens.
pub const VERSION: u32 = STEPS.len() as u32;

/// All stores as of [`VERSION`].
pub fn stores() -> Vec<Store> {
    STEPS.iter().fold(Vec::new(), |stores, step| step(stores))
}

impl From<Store> for ObjectStore {
    fn from(store: Store) -> Self {
        let empty = Self::new(store.name)
            .key_path(store.key_path)
            .auto_increment(store.numbered);
        store.indexes.into_iter().fold(empty, |made, index| {
            made.add_index(match index.key_path.as_slice() {
                [path] => rexie::Index::new(index.name, path),
                paths => rexie::Index::new_array(index.name, paths.iter().copied()),
            })
        })
    }
}
