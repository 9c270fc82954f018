//! Records by notebook: carrying out a plan, and reading all records of a
//! notebook in pieces.

use super::error::Error;
use crate::device::database::{BY_HITTER, put_last_stamp};
use crate::device::idb::{self, StorageError, from_js};
use crate::device::subject::{OTHERS, Subject, subject_of};
use js_sys::{Array, Function, JSON, Reflect};
use notebook::plan::{Key, Plan, Step, key_of, plan};
use notebook::{Change, Kind, Stamp};
use serde_json::Value;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{Event, IdbKeyRange, IdbObjectStore, IdbRequest, IdbTransaction};

/// Whose notebook a change belongs to; `None` for a kind that only a newer version
/// knows and that names no hitter.
pub fn subject(change: &Change) -> Option<Subject> {
    let id = change.record["head"]["id"].as_str()?;
    subject_of(&change.store, id, change.record["hitter"].as_str())
}

/// Which stores the changes go into.
pub fn stores(changes: &[Change]) -> Vec<&'static str> {
    let mut stores: Vec<_> = changes.iter().map(|change| place(&change.store)).collect();
    stores.sort_unstable();
    stores.dedup();
    stores
}

/// The store of a kind. Only those of our own kinds are named by what comes from
/// elsewhere: nothing gets into the device's own stores.
fn place(store: &str) -> &'static str {
    let known = Kind::ALL.iter().map(|kind| kind.store());
    let mut known = known.chain([notebook::sync::club::STORE]);
    known.find(|known| *known == store).unwrap_or(OTHERS)
}

/// Merges changes into the stored records, within `transaction`, which must be over
/// [`stores`] and the device's store; the latest stamp among them.
///
/// # Errors
/// What the browser says.
pub async fn merge(
    transaction: &IdbTransaction,
    subject: Option<Subject>,
    changes: Vec<Change>,
) -> Result<Option<Stamp>, StorageError> {
    let mut merging = Merging::within(transaction, subject)?;
    merging.take(changes)?;
    merging.finish().await
}

/// A merge of changes that come piece by piece: while the browser stores one piece,
/// the next can be opened.
///
/// Most of what comes is new here, and to ask first whether a record is there costs
/// as much as to put it. So all are added, and only those that the store knows
/// already are read and merged.
pub struct Merging<'a> {
    transaction: &'a IdbTransaction,
    subject: Option<Subject>,
    changes: Vec<Change>,
    asked: Vec<(Key, IdbRequest)>,
    latest: Option<Stamp>,
    /// A record was there already.
    refused: Rc<Cell<bool>>,
    listener: Closure<dyn Fn(Event)>,
}

impl<'a> Merging<'a> {
    /// A merge within `transaction`, which must be over [`stores`] of all that is to
    /// come, and the device's store.
    ///
    /// # Errors
    /// What the browser says.
    pub fn within(
        transaction: &'a IdbTransaction,
        subject: Option<Subject>,
    ) -> Result<Self, StorageError> {
        let refused = Rc::new(Cell::new(false));
        let noted = Rc::clone(&refused);
        // Such an error would else abort the transaction. It is met on its way down to
        // the request: who waits for that goes on before the event has come up again.
        let listener = Closure::<dyn Fn(Event)>::new(move |event: Event| {
            let request = event.target().and_then(|it| it.dyn_into().ok());
            if request.as_ref().is_some_and(is_there) {
                noted.set(true);
                event.prevent_default();
            }
        });
        let listens: &Function = listener.as_ref().unchecked_ref();
        transaction.add_event_listener_with_callback_and_bool("error", listens, true)?;
        Ok(Self {
            transaction,
            subject,
            changes: Vec::new(),
            asked: Vec::new(),
            latest: None,
            refused,
            listener,
        })
    }

    /// Takes in changes; waits for nothing.
    ///
    /// # Errors
    /// What the browser says.
    pub fn take(&mut self, changes: Vec<Change>) -> Result<(), StorageError> {
        let Plan { steps, latest } = plan(&changes, &BTreeMap::new());
        let requests = each(self.transaction, self.subject, &steps, IdbObjectStore::add)?;
        let keys = steps.into_iter().map(|step| step.key);
        self.asked.extend(keys.zip(requests));
        self.latest = self.latest.max(latest);
        self.changes.extend(changes);
        Ok(())
    }

    /// Merges what was there already, and notes the latest stamp, which it gives.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn finish(self) -> Result<Option<Stamp>, StorageError> {
        if let Some((_, last)) = self.asked.last() {
            let answered = idb::answered(last).await;
            if !is_there(last) {
                answered?;
            }
        }
        if self.refused.get() {
            let there = self.asked.iter().filter(|(_, request)| is_there(request));
            let known: BTreeSet<Key> = there.map(|(key, _)| key.clone()).collect();
            let stored = stored(self.transaction, &known).await?;
            let of_known = |change: &&Change| key_of(change).is_some_and(|it| known.contains(&it));
            let again: Vec<Change> = self.changes.iter().filter(of_known).cloned().collect();
            let steps = plan(&again, &stored).steps;
            each(self.transaction, self.subject, &steps, IdbObjectStore::put)?;
        }
        if let Some(latest) = self.latest {
            put_last_stamp(self.transaction, latest).await?;
        }
        Ok(self.latest)
    }
}

impl Drop for Merging<'_> {
    fn drop(&mut self) {
        let listens: &Function = self.listener.as_ref().unchecked_ref();
        // Of no effect when it fails: the transaction is over then.
        let _ = self
            .transaction
            .remove_event_listener_with_callback_and_bool("error", listens, true);
    }
}

/// Whether an answered request was refused because its key is there.
fn is_there(request: &IdbRequest) -> bool {
    let error = request.error().ok().flatten();
    error.is_some_and(|error| error.name() == "ConstraintError")
}

/// The stored copies of these records. All are asked for before the first is waited
/// for.
async fn stored(
    transaction: &IdbTransaction,
    keys: &BTreeSet<Key>,
) -> Result<BTreeMap<Key, Value>, StorageError> {
    let mut asked = Vec::new();
    for key in keys {
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
            stored.insert(key.clone(), from_js(&found, "records")?);
        }
    }
    Ok(stored)
}

/// Adds or puts what the steps say: one text for all, as reading JSON once is quicker
/// than many times.
fn each(
    transaction: &IdbTransaction,
    subject: Option<Subject>,
    steps: &[Step],
    put: fn(&IdbObjectStore, &JsValue) -> Result<IdbRequest, JsValue>,
) -> Result<Vec<IdbRequest>, StorageError> {
    let mut text = String::from("[");
    for (n, step) in steps.iter().enumerate() {
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
    let mut requests = Vec::with_capacity(steps.len());
    for (step, record) in steps.iter().zip(records.iter()) {
        let name = place(&step.key.0);
        let store = match stores.get(name) {
            Some(store) => store,
            None => {
                let opened = transaction.object_store(name)?;
                stores.entry(name).or_insert(opened)
            }
        };
        requests.push(put(store, &record)?);
    }
    Ok(requests)
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
