//! What incoming changes make of the stored records, as plain data: the store
//! carries it out in one transaction, so a crash leaves either before or after.

use crate::merge::{latest_stamp, merge};
use crate::{Change, RecordId, Stamp};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Where a record is stored: the name of its store and its identity.
pub type Key = (String, RecordId);

/// What happens to one record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// It is new here.
    Insert,
    /// It has changed.
    Update,
    /// It has changed and is now removed.
    Tombstone,
}

/// One record to put.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Where.
    pub key: Key,
    /// What happens to it, for whoever shows it.
    pub what: What,
    /// The record as it will stand.
    pub record: Value,
}

/// What to put, and what the clock must know.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// The records that change, each once, in order of key. Records that stay
    /// as they are have no step.
    pub steps: Vec<Step>,
    /// The latest stamp among the changes.
    pub latest: Option<Stamp>,
}

/// The records that the changes touch: to be read in the same transaction in
/// which the plan is carried out.
#[must_use]
pub fn keys(changes: &[Change]) -> BTreeSet<Key> {
    changes.iter().filter_map(key_of).collect()
}

/// The plan for these changes, given the stored copies of the records that
/// they touch. A change that is no record (it has no readable id) does not
/// come this far: the batch that carries it is refused.
#[must_use]
pub fn plan(changes: &[Change], stored: &BTreeMap<Key, Value>) -> Plan {
    let mut merged: BTreeMap<Key, Value> = BTreeMap::new();
    let mut latest = None;
    for change in changes {
        let Some(key) = key_of(change) else { continue };
        latest = latest.max(latest_stamp(&change.record));
        let before = merged.get(&key).or_else(|| stored.get(&key));
        let after = before.map_or_else(|| change.record.clone(), |it| merge(it, &change.record));
        merged.insert(key, after);
    }
    let steps = merged.into_iter().filter_map(|(key, record)| {
        let before = stored.get(&key);
        let what = match before {
            Some(before) if *before == record => return None,
            _ if is_removed(&record) && !before.is_some_and(is_removed) => What::Tombstone,
            None => What::Insert,
            Some(_) => What::Update,
        };
        Some(Step { key, what, record })
    });
    Plan {
        steps: steps.collect(),
        latest,
    }
}

/// The record that a change is of; `None` when it is no record.
#[must_use]
pub fn key_of(change: &Change) -> Option<Key> {
    Some((change.store.clone(), change.id()?))
}

fn is_removed(record: &Value) -> bool {
    record["head"]["removed"]["value"] == Value::Bool(true)
}
