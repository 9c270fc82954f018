//! Each hitter's machine set-up is kept too.

use super::Store;
use crate::device::database::HEAD_ID;
use notebook::Kind;

pub fn step(mut stores: Vec<Store>) -> Vec<Store> {
    stores.push(Store::keyed(Kind::SetUp.store(), HEAD_ID));
    stores
}
