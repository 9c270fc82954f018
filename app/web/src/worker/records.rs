//! Records by notebook: carrying out a plan, and reading all records of a
//! notebook in pieces.

use super::error::Error;
use crate::device::database::{BY_HITTER, put_last_stamp};
use crate::device::idb::{self, StorageError, from_js};
use crate::device::subject::{Subject, subject_of};
use js_sys::{Array, JSON, Reflect};
use notebook::plan::{Key, Plan, keys, plan};
use notebook::{Change, Kind};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use wasm_bindgen::prelude::*;
use web_sys::{IdbKeyRange, IdbObjectStore, IdbTransaction};

/// Records of kinds that this version does not know.
pub const OTHERS: &str = "others";

/// Whose notebook a change belongs to; `None` for a kind that only a newer version
/// knows and that names no hitter.
pub fn subject(change: &Change) -> Option<Subject> {
    let id = change.record["head"]["id"].as_str()?;
    subject_of(&change.store, id, change.record["hitter"].as_str())
}

/// Which stores the changes go into.
pub fn stores(changes: &[Change]) -> Vec<&str> {
    let mut stores: Vec<&str> = changes.iter().map(|change| place(&change.store)).collect();
    stores.sort_unstable();
    stores.dedup();
    stores
}

/// The store of a kind. Only those of our own kinds are named by what comes from
/// elsewhere: nothing gets into the device's own stores.
fn place(store: &str) -> &str {
    let known = Kind::ALL.iter().any(|kind| kind.store() == store);
    if known || store == notebook::sync::club::STORE {
        store
    } else {
        OTHERS
    }
}

/// Merges changes into the stored records, within `transaction`, which must be over
/// [`stores`] and the device's store.
///
/// # Errors
/// What the browser says.
pub async fn merge(
    transaction: &IdbTransaction,
    subject: Option<Subject>,
    changes: &[Change],
) -> Result<Plan, StorageError> {
    let stored = stored(transaction, changes).await?;
    let plan = plan(changes, &stored);
    drop(stored);
    put(transaction, subject, &plan)?;
    if let Some(latest) = plan.latest {
        put_last_stamp(transaction, latest).await?;
    }
    Ok(plan)
}

/// The stored copies of the records that the changes touch. All are asked for
/// before the first is waited for.
async fn stored(
    transaction: &IdbTransaction,
    changes: &[Change],
) -> Result<BTreeMap<Key, Value>, StorageError> {
    let mut asked = Vec::new();
    for key in keys(changes) {
        let store = place(&key.0);
        let other = store == OTHERS;
        let in_store = if other {
            format!("{}/{}", key.0, key.1)
        } else {
            key.1.to_string()
        };
        let request = transaction.object_store(store)?.get(&in_store.into())?;
        asked.push((key, other, request));
    }
    if let Some((_, _, last)) = asked.last() {
        idb::answered(last).await?;
    }
    let mut stored = BTreeMap::new();
    for (key, other, request) in asked {
        let mut found = request.result()?;
        if other && !found.is_undefined() {
            found = Reflect::get(&found, &"record".into())?;
        }
        if !found.is_undefined() {
            stored.insert(key, from_js(&found, "records")?);
        }
    }
    Ok(stored)
}

/// Puts what the plan says: one text for all, as reading JSON once is quicker than
/// many times.
fn put(
    transaction: &IdbTransaction,
    subject: Option<Subject>,
    plan: &Plan,
) -> Result<(), StorageError> {
    let mut text = String::from("[");
    for (n, step) in plan.steps.iter().enumerate() {
        let comma = if n > 0 { "," } else { "" };
        let (store, id) = &step.key;
        let record = &step.record;
        let written = if place(store) == OTHERS {
            let of = subject.map(|subject| subject.to_string());
            let key = Value::from(format!("{store}/{id}"));
            let (of, store) = (Value::from(of), Value::from(store.as_str()));
            write!(
                text,
                "{comma}{{\"key\":{key},\"subject\":{of},\"store\":{store},\"record\":{record}}}"
            )
        } else {
            write!(text, "{comma}{record}")
        };
        written.map_err(|error| StorageError::Browser(error.to_string()))?;
    }
    text.push(']');
    let records: Array = JSON::parse(&text)?.unchecked_into();
    let mut stores: BTreeMap<&str, IdbObjectStore> = BTreeMap::new();
    for (step, record) in plan.steps.iter().zip(records.iter()) {
        let name = place(&step.key.0);
        let store = match stores.get(name) {
            Some(store) => store,
            None => {
                let opened = transaction.object_store(name)?;
                stores.entry(name).or_insert(opened)
            }
        };
        store.put(&record)?;
    }
    Ok(())
}

/// The stores that hold records of a notebook, the first one first: whoever joins
/// sees by it whose notebook it is.
pub fn stores_of(subject: Subject) -> &'static [&'static str] {
    match subject {
        Subject::Club => &["equipment", "notebooks", OTHERS],
        Subject::Hitter(_) => &[
            "hitters",
            "set-ups",
            "checks",
            "observations",
            "reps",
            OTHERS,
        ],
    }
}

/// A piece of the records of `subject` in one store: at most `most`, those after
/// the key `after` (empty: from the first on), with the key of the last. Fewer than
/// `most` when there are no more.
///
/// # Errors
/// What the browser says.
pub async fn piece(
    transaction: &IdbTransaction,
    subject: Subject,
    store: &str,
    after: &str,
    most: u32,
) -> Result<(Vec<(String, JsValue)>, String), Error> {
    let opened = transaction.object_store(store)?;
    let nothing = (Vec::new(), after.to_owned());
    let (found, in_key) = match (subject, store) {
        (Subject::Hitter(id), "hitters" | "set-ups") => {
            if !after.is_empty() {
                return Ok(nothing);
            }
            let one = idb::get(&opened, &id.to_string().into()).await?;
            (one.into_iter().collect::<Array>(), "head")
        }
        (Subject::Hitter(id), store) if store != OTHERS => {
            let hitter = JsValue::from_str(&id.to_string());
            let from = Array::of2(&hitter, &after.into());
            let to = Array::of2(&hitter, &Array::new());
            let range = IdbKeyRange::bound_with_lower_open(&from, &to, true)?;
            let index = opened.index(BY_HITTER)?;
            let request = index.get_all_with_key_and_limit(&range, most)?;
            (idb::answered(&request).await?.unchecked_into(), "head")
        }
        (Subject::Club, store) if store != OTHERS => {
            let range = IdbKeyRange::lower_bound_with_open(&after.into(), true)?;
            let request = opened.get_all_with_key_and_limit(&range, most)?;
            (idb::answered(&request).await?.unchecked_into(), "head")
        }
        (subject, _) => {
            // Rare, so all at once.
            if !after.is_empty() {
                return Ok(nothing);
            }
            let index = opened.index("subject")?;
            let request = index.get_all_with_key(&subject.to_string().into())?;
            (idb::answered(&request).await?.unchecked_into(), "key")
        }
    };
    let mut last = after.to_owned();
    let mut records = Vec::new();
    for record in found.iter() {
        if in_key == "key" {
            let text = |name: &str| Reflect::get(&record, &name.into()).ok()?.as_string();
            last = text("key").unwrap_or_default();
            let of = text("store").unwrap_or_default();
            records.push((of, Reflect::get(&record, &"record".into())?));
        } else {
            let head = Reflect::get(&record, &"head".into())?;
            let id = Reflect::get(&head, &"id".into())?;
            last = id.as_string().unwrap_or_default();
            records.push((store.to_owned(), record));
        }
    }
    Ok((records, last))
}
