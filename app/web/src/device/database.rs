//! Records in IndexedDB. Reading and opening by rexie; writing by a transaction
//! of our own, because only that can ask for strict durability.

use crate::device::{clock, migrations};
use js_sys::{Array, Function, JSON, Object, Promise, Reflect};
use notebook::{DeviceId, Record, RecordId, SCHEMA, Stamp, StampClock};
use rexie::{Direction, KeyRange, Rexie, TransactionMode};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{BroadcastChannel, IdbDatabase, IdbRequest, IdbTransaction, MessageEvent};

/// Key path of every record store.
pub const HEAD_ID: &str = "head.id";
/// Index of checks and reps by hitter and id, so in order of making.
pub const BY_HITTER: &str = "hitter-and-id";
/// The store of this device's own facts; these never leave the phone.
pub const DEVICE_STORE: &str = "device";

const NAME: &str = "stridebook";
const CHANNEL: &str = "stridebook-changes";

/// Why storage did not do what was asked, in words for the user.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StorageError {
    /// A newer version of the app has been here.
    #[error(
        "The notebook on this phone was written by a newer version of Stridebook. Nothing is lost: \
         close every Stridebook window and open it again while online to get that version."
    )]
    Newer,
    /// A newer version of the app has written this record.
    #[error(
        "This was written by a newer version of Stridebook, which this one must not write over. \
         Open Stridebook again while online to get that version."
    )]
    NewerRecord,
    /// No room.
    #[error(
        "The phone has no room left for the notebook. Free some space and try again; what was \
         saved before is safe."
    )]
    Full,
    /// Anything else the browser says.
    #[error(
        "The phone's storage did not answer as it should ({0}). What was saved before is safe."
    )]
    Browser(String),
    /// A record that cannot be read.
    #[error("A record in {store} could not be read ({reason}). It is left as it is.")]
    Unreadable {
        /// Which store.
        store: &'static str,
        /// What the reader said.
        reason: String,
    },
}

impl From<rexie::Error> for StorageError {
    fn from(error: rexie::Error) -> Self {
        // The browser's own error sits inside those of rexie and idb, and only
        // their debug form shows it.
        Self::told(&format!("{error:?}"))
    }
}

impl From<JsValue> for StorageError {
    fn from(error: JsValue) -> Self {
        let name = Reflect::get(&error, &"name".into()).ok();
        let name = name.and_then(|name| name.as_string()).unwrap_or_default();
        let message = Reflect::get(&error, &"message".into()).ok();
        let message = message.and_then(|text| text.as_string());
        Self::told(&format!("{name} {}", message.unwrap_or_default()))
    }
}

impl StorageError {
    fn told(text: &str) -> Self {
        if text.contains("VersionError") || text.contains("less than the existing version") {
            Self::Newer
        } else if text.contains("QuotaExceeded") {
            Self::Full
        } else {
            Self::Browser(text.trim().to_owned())
        }
    }
}

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
        let kept: &Object = stored.unchecked_ref();
        Ok(Object::assign(kept, to_js(&merged)?.unchecked_ref::<Object>()).into())
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
    strict: IdbDatabase,
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
            strict: open_strict().await?,
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

    async fn keep_facts(&self, stamps: &StampClock) -> Result<(), StorageError> {
        let transaction = self.strict_transaction(&[DEVICE_STORE])?;
        let stamp = stamps.stamp();
        let store = transaction.object_store(DEVICE_STORE)?;
        store.put(&to_js(&DeviceFact {
            key: "device".to_owned(),
            value: stamp.device().to_string(),
        })?)?;
        put_last_stamp(&transaction, stamp).await?;
        complete(&transaction).await
    }

    /// How many records could not be read since this was asked last. They are
    /// left out, and left as they are: one bad record must not close the book.
    pub fn take_unreadable(&self) -> usize {
        self.unreadable.take().len()
    }

    fn readable<'a, R: Record>(&self, stored: impl Iterator<Item = &'a JsValue>) -> Vec<R> {
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
        let name = R::KIND.store();
        let transaction = self.rexie.transaction(&[name], TransactionMode::ReadOnly)?;
        let range = KeyRange::only(&key.to_string().into()).map_err(rexie::Error::from)?;
        let index = transaction.store(name)?.index(index)?;
        let stored = index.get_all(Some(range), None).await?;
        Ok(self.readable(stored.iter()))
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
        stores.push(DEVICE_STORE);
        stores.sort_unstable();
        stores.dedup();
        let transaction = self.strict_transaction(&stores)?;
        let written = async {
            for change in changes {
                let store = transaction.object_store(change.store())?;
                let key = JsValue::from_str(&change.key().to_string());
                let stored = answered(&store.get(&key)?).await?;
                let stored = (!stored.is_undefined()).then_some(&stored);
                store.put(&change.merged(stored)?)?;
            }
            put_last_stamp(&transaction, stamps.stamp()).await
        }
        .await;
        if let Err(error) = written {
            // Already aborted by the browser is as good.
            let _ = transaction.abort();
            return Err(error);
        }
        complete(&transaction).await?;
        if let Some(channel) = &self.channel {
            // Other tabs read again; nobody listening is no error.
            let _ = channel.post_message(&JsValue::from_str("changed"));
        }
        Ok(())
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

    fn strict_transaction(&self, stores: &[&str]) -> Result<IdbTransaction, StorageError> {
        let names: Array = stores.iter().map(|name| JsValue::from_str(name)).collect();
        let options = Object::new();
        Reflect::set(&options, &"durability".into(), &"strict".into())?;
        // By name: web-sys has the options behind its flag for unstable APIs.
        let open: Function = Reflect::get(&self.strict, &"transaction".into())?.dyn_into()?;
        let transaction = open.call3(&self.strict, &names, &"readwrite".into(), &options)?;
        Ok(transaction.dyn_into()?)
    }
}

/// Keeps `stamp` as the last one, unless another tab has kept a later one.
async fn put_last_stamp(transaction: &IdbTransaction, stamp: Stamp) -> Result<(), StorageError> {
    let store = transaction.object_store(DEVICE_STORE)?;
    let kept = answered(&store.get(&"last-stamp".into())?).await?;
    let mut value = stamp.to_string();
    if !kept.is_undefined() {
        // The text of stamps sorts as the stamps.
        value = value.max(from_js::<DeviceFact>(&kept, DEVICE_STORE)?.value);
    }
    store.put(&to_js(&DeviceFact {
        key: "last-stamp".to_owned(),
        value,
    })?)?;
    Ok(())
}

/// A second connection: rexie does not hand out its own.
async fn open_strict() -> Result<IdbDatabase, StorageError> {
    let factory = web_sys::window()
        .and_then(|window| window.indexed_db().ok().flatten())
        .ok_or_else(|| StorageError::Browser("this browser has no IndexedDB".to_owned()))?;
    let request = factory.open(NAME)?;
    let database: IdbDatabase = answered(&request).await?.unchecked_into();
    // A newer version in another tab wants to migrate: let it.
    let closing = database.clone();
    let close = Closure::<dyn Fn()>::new(move || closing.close());
    database.set_onversionchange(Some(close.as_ref().unchecked_ref()));
    close.forget();
    Ok(database)
}

/// The result of `request`.
async fn answered(request: &IdbRequest) -> Result<JsValue, StorageError> {
    let waiting = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(waiting).await {
        Ok(_) => Ok(request.result()?),
        Err(_) => Err(request
            .error()
            .ok()
            .flatten()
            .map_or_else(|| JsValue::from_str("unknown error"), JsValue::from)
            .into()),
    }
}

/// Waits for the transaction's `complete` event.
async fn complete(transaction: &IdbTransaction) -> Result<(), StorageError> {
    let waiting = Promise::new(&mut |resolve, reject| {
        transaction.set_oncomplete(Some(&resolve));
        transaction.set_onabort(Some(&reject));
        transaction.set_onerror(Some(&reject));
    });
    match JsFuture::from(waiting).await {
        Ok(_) => Ok(()),
        Err(_) => Err(transaction
            .error()
            .map_or_else(|| JsValue::from_str("the write was aborted"), JsValue::from)
            .into()),
    }
}

fn to_js<T: Serialize>(value: &T) -> Result<JsValue, StorageError> {
    let text = serde_json::to_string(value)
        .map_err(|error| StorageError::Browser(format!("cannot be written: {error}")))?;
    Ok(JSON::parse(&text)?)
}

fn from_js<T: DeserializeOwned>(value: &JsValue, store: &'static str) -> Result<T, StorageError> {
    let text = JSON::stringify(value)?.as_string().unwrap_or_default();
    serde_json::from_str(&text).map_err(|error| unreadable(store, error))
}

fn unreadable(store: &'static str, reason: impl std::fmt::Display) -> StorageError {
    StorageError::Unreadable {
        store,
        reason: reason.to_string(),
    }
}
