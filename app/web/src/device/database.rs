//! Records in IndexedDB. Reading and opening by rexie; writing by a transaction
//! of our own, because only that can ask for strict durability.

pub use crate::device::idb::StorageError;
use crate::device::idb::{self, Connection, from_js, to_js, unreadable};
use crate::device::{clock, log, migrations};
use js_sys::{Array, Object, Reflect};
use notebook::{DeviceId, Record, RecordId, SCHEMA, Stamp, StampClock};
use rexie::{Direction, KeyRange, Rexie, TransactionMode};
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use web_sys::{BroadcastChannel, IdbTransaction, MessageEvent};

/// Key path of every record store.
pub const HEAD_ID: &str = "head.id";
/// Index of checks and reps by hitter and id, so in order of making.
pub const BY_HITTER: &str = "hitter-and-id";
/// The store of this device's own facts; these never leave the phone.
pub const DEVICE_STORE: &str = "device";

const NAME: &str = "stridebook";
/// The fact that says whether this phone syncs.
const SYNC: &str = "sync";
const CHANNEL: &str = "stridebook-changes";

/// A record on its way into its store.
pub trait Change: Send + Sync {
    /// Name of its store.
    fn store(&self) -> &'static str;
    /// Its key.
    fn key(&self) -> RecordId;
    /// The record merged with the copy that is stored already, if any: another
    /// tab may have edited another field meanwhile.
    ///
    /// # Errors
    /// When the stored copy is of a newer version or cannot be read.
    fn merged(&self, stored: Option<&JsValue>) -> Result<JsValue, StorageError>;
}

impl<R: Record> Change for R {
    fn store(&self) -> &'static str {
        R::KIND.store()
    }

    fn key(&self) -> RecordId {
        Record::head(self).id
    }

    fn merged(&self, stored: Option<&JsValue>) -> Result<JsValue, StorageError> {
        let Some(stored) = stored else {
            return to_js(self);
        };
        if is_newer(stored) {
            return Err(StorageError::NewerRecord);
        }
        let mut merged: R = from_js(stored, R::KIND.store())?;
        merged.merge(self);
        // Laid over the stored copy, so that a field that only a newer version
        // knows stays.
        let kept = Object::assign(&Object::new(), stored.unchecked_ref());
        Ok(Object::assign(&kept, to_js(&merged)?.unchecked_ref()).into())
    }
}

/// Whether a stored record is of a format that this version does not know.
fn is_newer(stored: &JsValue) -> bool {
    let head = Reflect::get(stored, &"head".into()).unwrap_or_default();
    let schema = Reflect::get(&head, &"schema".into()).unwrap_or_default();
    schema
        .as_f64()
        .is_some_and(|schema| schema > f64::from(SCHEMA))
}

#[derive(Serialize, Deserialize)]
struct DeviceFact {
    key: String,
    value: String,
}

/// The open database of this device.
pub struct Database {
    rexie: Rexie,
    strict: Connection,
    channel: Option<BroadcastChannel>,
    /// Stores and ids of the records that could not be read.
    unreadable: RefCell<Vec<String>>,
}

impl Database {
    /// Opens the database, bringing it to this version's form, and starts the
    /// clock above the last stamp that was kept.
    ///
    /// # Errors
    /// [`StorageError::Newer`] when a newer version wrote it; otherwise what the
    /// browser says.
    pub async fn open() -> Result<(Self, StampClock), StorageError> {
        let mut builder = Rexie::builder(NAME).version(migrations::VERSION);
        for store in migrations::stores() {
            builder = builder.add_object_store(store.into());
        }
        let rexie = builder.build().await?;
        let database = Self {
            // A second connection: rexie does not hand out its own.
            strict: Connection::open(NAME).await?,
            rexie,
            channel: BroadcastChannel::new(CHANNEL).ok(),
            unreadable: RefCell::default(),
        };
        let device = match database.fact("device").await? {
            Some(id) => id
                .parse::<DeviceId>()
                .map_err(|error| unreadable(DEVICE_STORE, error))?,
            None => DeviceId::from_bytes(*clock::new_id().as_bytes()),
        };
        let last = match database.fact("last-stamp").await? {
            Some(stamp) => Some(
                stamp
                    .parse::<Stamp>()
                    .map_err(|e| unreadable(DEVICE_STORE, e))?,
            ),
            None => None,
        };
        let stamps = StampClock::start(device, clock::wall, last);
        if last.is_none() {
            database.keep_facts(&stamps).await?;
        }
        Ok((database, stamps))
    }

    async fn fact(&self, key: &str) -> Result<Option<String>, StorageError> {
        let transaction = self
            .rexie
            .transaction(&[DEVICE_STORE], TransactionMode::ReadOnly)?;
        let stored = transaction.store(DEVICE_STORE)?.get(key.into()).await?;
        stored
            .map(|fact| from_js::<DeviceFact>(&fact, DEVICE_STORE).map(|fact| fact.value))
            .transpose()
    }

    /// Whether this phone syncs.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn syncs(&self) -> Result<bool, StorageError> {
        Ok(self.fact(SYNC).await?.as_deref() == Some("on"))
    }

    /// Keeps whether this phone syncs: here and not among the small choices, which a
    /// browser may lose when the phone dies.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn set_syncs(&self, on: bool) -> Result<(), StorageError> {
        let transaction = self.strict.strict(&[DEVICE_STORE])?;
        let put = async {
            let value = if on { "on" } else { "off" };
            let store = transaction.object_store(DEVICE_STORE)?;
            store.put(&to_js(&DeviceFact {
                key: SYNC.to_owned(),
                value: value.to_owned(),
            })?)?;
            Ok(())
        };
        idb::carried_out(&transaction, put).await
    }

    async fn keep_facts(&self, stamps: &StampClock) -> Result<(), StorageError> {
        let transaction = self.strict.strict(&[DEVICE_STORE])?;
        let stamp = stamps.stamp();
        let put = async {
            let store = transaction.object_store(DEVICE_STORE)?;
            store.put(&to_js(&DeviceFact {
                key: "device".to_owned(),
                value: stamp.device().to_string(),
            })?)?;
            put_last_stamp(&transaction, stamp).await
        };
        idb::carried_out(&transaction, put).await
    }

    /// How many records could not be read since this was asked last. They are
    /// left out, and left as they are: one bad record must not close the book.
    pub fn take_unreadable(&self) -> usize {
        self.unreadable.take().len()
    }

    pub(super) fn readable<'a, R: Record>(
        &self,
        stored: impl Iterator<Item = &'a JsValue>,
    ) -> Vec<R> {
        let mut records = Vec::new();
        for value in stored {
            match from_js(value, R::KIND.store()) {
                Ok(record) => records.push(record),
                Err(_) => self.leave_out(R::KIND.store(), value),
            }
        }
        records
    }

    /// Remembers a record that could not be read, once.
    fn leave_out(&self, store: &str, value: &JsValue) {
        let head = Reflect::get(value, &"head".into()).unwrap_or_default();
        let id = Reflect::get(&head, &"id".into()).unwrap_or_default();
        let named = format!("{store} {}", id.as_string().unwrap_or_default());
        let mut left_out = self.unreadable.borrow_mut();
        if !left_out.contains(&named) {
            left_out.push(named);
        }
    }

    /// Every record of a kind, removed ones included, in order of making.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn all<R: Record>(&self) -> Result<Vec<R>, StorageError> {
        let name = R::KIND.store();
        let transaction = self.rexie.transaction(&[name], TransactionMode::ReadOnly)?;
        let stored = transaction.store(name)?.get_all(None, None).await?;
        Ok(self.readable(stored.iter()))
    }

    /// The record with this id, removed or not.
    ///
    /// # Errors
    /// What the browser says, or [`StorageError::Unreadable`].
    pub async fn get<R: Record>(&self, id: RecordId) -> Result<Option<R>, StorageError> {
        let name = R::KIND.store();
        let transaction = self.rexie.transaction(&[name], TransactionMode::ReadOnly)?;
        let stored = transaction.store(name)?.get(id.to_string().into()).await?;
        stored.map(|value| from_js(&value, name)).transpose()
    }

    /// The records whose `index` holds `key`, in order of making. Reads no other.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn by_index<R: Record>(
        &self,
        index: &str,
        key: RecordId,
    ) -> Result<Vec<R>, StorageError> {
        let stored = self.rows_by(R::KIND.store(), index, key).await?;
        Ok(self.readable(stored.iter()))
    }

    /// The rows of a store whose `index` holds `key`, as the browser keeps them.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn rows_by(
        &self,
        store: &'static str,
        index: &str,
        key: RecordId,
    ) -> Result<Vec<JsValue>, StorageError> {
        let transaction = self
            .rexie
            .transaction(&[store], TransactionMode::ReadOnly)?;
        let range = KeyRange::only(&key.to_string().into()).map_err(rexie::Error::from)?;
        let index = transaction.store(store)?.index(index)?;
        Ok(index.get_all(Some(range), None).await?)
    }

    /// The latest `n` records of a hitter, newest first; fewer when some cannot
    /// be read. Takes the same time however many there are.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn latest<R: Record>(
        &self,
        hitter: RecordId,
        n: u32,
    ) -> Result<Vec<R>, StorageError> {
        let name = R::KIND.store();
        let transaction = self.rexie.transaction(&[name], TransactionMode::ReadOnly)?;
        let hitter = JsValue::from_str(&hitter.to_string());
        // From the hitter's first id to the end: a list sorts after every text.
        let from = Array::of1(&hitter);
        let to = Array::of2(&hitter, &Array::new());
        let range = KeyRange::bound(&from, &to, None, None).map_err(rexie::Error::from)?;
        let stored = transaction
            .store(name)?
            .index(BY_HITTER)?
            .scan(Some(range), Some(n), None, Some(Direction::Prev))
            .await?;
        Ok(self.readable(stored.iter().map(|(_, value)| value)))
    }

    /// Writes all of `changes`, or none of them. Returns when the browser has
    /// said that they are on disk: only then may a screen confirm.
    ///
    /// # Errors
    /// What the browser says; then nothing was written.
    pub async fn write(
        &self,
        changes: &[&dyn Change],
        stamps: &StampClock,
    ) -> Result<(), StorageError> {
        let mut stores: Vec<&str> = changes.iter().map(|change| change.store()).collect();
        stores.extend([DEVICE_STORE, log::LOG, log::SHARED]);
        stores.sort_unstable();
        stores.dedup();
        let transaction = self.strict.strict(&stores)?;
        let written = async {
            // What can be asked at once is: each answer is a way to the browser's
            // storage and back, and a screen waits for it.
            let kept = last_stamp(&transaction)?;
            for change in changes {
                let store = transaction.object_store(change.store())?;
                let alone = change.merged(None)?;
                let key = JsValue::from_str(&change.key().to_string());
                let stored = idb::get(&store, &key);
                let shared = log::shared(&transaction, change.store(), &alone)?;
                let stored = stored.await?;
                let record = match &stored {
                    Some(stored) => change.merged(Some(stored))?,
                    None => alone,
                };
                store.put(&record)?;
                shared
                    .note(&transaction, change.store(), stored.as_ref(), &record)
                    .await?;
            }
            keep_stamp(&transaction, kept.await?.as_ref(), stamps.stamp())
        };
        idb::carried_out(&transaction, written).await?;
        self.tell_others();
        Ok(())
    }

    /// Has every other tab, and the sync worker, read again.
    pub fn tell_others(&self) {
        if let Some(channel) = &self.channel {
            // Other tabs read again; nobody listening is no error.
            let _ = channel.post_message(&JsValue::from_str("changed"));
        }
    }

    /// The connection for transactions of one's own.
    #[must_use]
    pub const fn connection(&self) -> &Connection {
        &self.strict
    }

    /// Calls `listener` whenever another tab has written.
    pub fn on_change_elsewhere(&self, listener: impl Fn() + 'static) {
        if let Some(channel) = &self.channel {
            let closure = Closure::<dyn Fn(MessageEvent)>::new(move |_| listener());
            channel.set_onmessage(Some(closure.as_ref().unchecked_ref()));
            // Lives as long as the page, as the database does.
            closure.forget();
        }
    }
}

/// Keeps `stamp` as the last one, unless another tab has kept a later one. The
/// transaction must be over [`DEVICE_STORE`] too.
///
/// # Errors
/// What the browser says.
pub async fn put_last_stamp(
    transaction: &IdbTransaction,
    stamp: Stamp,
) -> Result<(), StorageError> {
    let kept = last_stamp(transaction)?.await?;
    keep_stamp(transaction, kept.as_ref(), stamp)
}

/// Asks for the stamp that was kept last.
fn last_stamp(
    transaction: &IdbTransaction,
) -> Result<impl Future<Output = Result<Option<JsValue>, StorageError>> + use<>, StorageError> {
    let store = transaction.object_store(DEVICE_STORE)?;
    Ok(idb::get(&store, &"last-stamp".into()))
}

fn keep_stamp(
    transaction: &IdbTransaction,
    kept: Option<&JsValue>,
    stamp: Stamp,
) -> Result<(), StorageError> {
    let mut value = stamp.to_string();
    if let Some(kept) = kept {
        // The text of stamps sorts as the stamps.
        value = value.max(from_js::<DeviceFact>(kept, DEVICE_STORE)?.value);
    }
    let store = transaction.object_store(DEVICE_STORE)?;
    store.put(&to_js(&DeviceFact {
        key: "last-stamp".to_owned(),
        value,
    })?)?;
    Ok(())
}
