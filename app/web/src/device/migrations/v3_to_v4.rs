//! The club's machines, and the cages they stand in.

use super::Store;
use crate::device::database::HEAD_ID;
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    stores.push(Store::keyed(Kind::Equipment.store(), HEAD_ID));
    stores
}
