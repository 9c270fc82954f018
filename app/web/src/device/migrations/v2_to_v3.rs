//! The latest look and the latest rep of a hitter are found without walking all
//! of them: among equal keys of an index, Chromium's cursor from the end walks
//! from the beginning. So the id stands in the key, and a step back is a step.

use super::Store;
use crate::device::database::{BY_HITTER, HEAD_ID};
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    for kind in [Kind::Check, Kind::Rep] {
        for store in stores.iter_mut().filter(|store| store.name == kind.store()) {
            store.indexes.retain(|index| index.name != "hitter");
            store.indexes.push(super::Index {
                name: BY_HITTER,
                key_path: vec!["hitter", HEAD_ID],
            });
        }
    }
    stores
}
