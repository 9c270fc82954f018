//! IndexedDB by web-sys, in a page as in a worker: what rexie cannot do, which is
//! transactions with strict durability. Knows no record.

use js_sys::{Array, Function, JSON, Object, Promise, Reflect};
use serde::Serialize;
use serde::de::DeserializeOwned;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{IdbDatabase, IdbFactory, IdbObjectStore, IdbRequest, IdbTransaction};

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
    /// This phone may only read the notebook of the record.
    #[error("This phone only reads this notebook: nothing was saved. Its owner can change that.")]
    ReadsOnly,
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

/// An open connection. A newer version in another tab closes it.
pub struct Connection(IdbDatabase);

impl Connection {
    /// Connects to a database that exists in its present form.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn open(name: &str) -> Result<Self, StorageError> {
        let factory = Reflect::get(&js_sys::global(), &"indexedDB".into())
            .ok()
            .and_then(|factory| factory.dyn_into::<IdbFactory>().ok())
            .ok_or_else(|| StorageError::Browser("this browser has no IndexedDB".to_owned()))?;
        let request = factory.open(name)?;
        let database: IdbDatabase = answered(&request).await?.unchecked_into();
        // A newer version in another tab wants to migrate: let it.
        let closing = database.clone();
        let close = Closure::<dyn Fn()>::new(move || closing.close());
        database.set_onversionchange(Some(close.as_ref().unchecked_ref()));
        close.forget();
        Ok(Self(database))
    }

    /// A transaction that is on disk when it is complete.
    ///
    /// # Errors
    /// What the browser says.
    pub fn strict(&self, stores: &[&str]) -> Result<IdbTransaction, StorageError> {
        let options = Object::new();
        Reflect::set(&options, &"durability".into(), &"strict".into())?;
        // By name: web-sys has the options behind its flag for unstable APIs.
        let open: Function = Reflect::get(&self.0, &"transaction".into())?.dyn_into()?;
        let transaction = open.call3(&self.0, &names(stores), &"readwrite".into(), &options)?;
        Ok(transaction.dyn_into()?)
    }

    /// A transaction that reads.
    ///
    /// # Errors
    /// What the browser says.
    pub fn reading(&self, stores: &[&str]) -> Result<IdbTransaction, StorageError> {
        Ok(self.0.transaction_with_str_sequence(&names(stores))?)
    }

    /// Whether the database has a store of that name.
    #[must_use]
    pub fn has(&self, store: &str) -> bool {
        self.0.object_store_names().contains(store)
    }
}

fn names(stores: &[&str]) -> Array {
    stores.iter().map(|name| JsValue::from_str(name)).collect()
}

/// What lies under `key`, if anything. Asked at once, also before it is awaited.
///
/// # Errors
/// What the browser says.
pub fn get(
    store: &IdbObjectStore,
    key: &JsValue,
) -> impl Future<Output = Result<Option<JsValue>, StorageError>> + use<> {
    let asked = store.get(key).map(|request| answered(&request));
    async move {
        let found = asked?.await?;
        Ok((!found.is_undefined()).then_some(found))
    }
}

/// Carries out `work` in `transaction` and waits until it is complete; aborts it
/// when `work` fails, and then nothing has changed.
///
/// # Errors
/// What the browser says, or `work`.
pub async fn carried_out<T>(
    transaction: &IdbTransaction,
    work: impl Future<Output = Result<T, StorageError>>,
) -> Result<T, StorageError> {
    match work.await {
        Ok(done) => {
            // Nothing more is asked: it need not wait to find out. One that is over
            // already, or was aborted, tells so by its event.
            #[expect(deprecated, reason = "every browser that we support has it")]
            let _ = transaction.commit();
            complete(transaction).await?;
            Ok(done)
        }
        Err(error) => {
            // Already aborted by the browser is as good.
            let _ = transaction.abort();
            Err(error)
        }
    }
}

/// The result of `request`. It is listened for from now on, so that several can be
/// asked first and waited for together: each would else be a trip of its own.
///
/// # Errors
/// What the browser says.
pub fn answered(
    request: &IdbRequest,
) -> impl Future<Output = Result<JsValue, StorageError>> + use<> {
    let waiting = JsFuture::from(Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    }));
    let request = request.clone();
    async move {
        match waiting.await {
            Ok(_) => Ok(request.result()?),
            Err(_) => Err(request
                .error()
                .ok()
                .flatten()
                .map_or_else(|| JsValue::from_str("unknown error"), JsValue::from)
                .into()),
        }
    }
}

/// Waits for the transaction's `complete` event.
///
/// # Errors
/// What the browser says; then nothing was written.
pub async fn complete(transaction: &IdbTransaction) -> Result<(), StorageError> {
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

/// A value as the browser keeps it.
///
/// # Errors
/// When it cannot be JSON.
pub fn to_js<T: Serialize>(value: &T) -> Result<JsValue, StorageError> {
    let text = serde_json::to_string(value)
        .map_err(|error| StorageError::Browser(format!("cannot be written: {error}")))?;
    Ok(JSON::parse(&text)?)
}

/// A value that the browser kept in `store`.
///
/// # Errors
/// [`StorageError::Unreadable`].
pub fn from_js<T: DeserializeOwned>(
    value: &JsValue,
    store: &'static str,
) -> Result<T, StorageError> {
    let text = JSON::stringify(value)?.as_string().unwrap_or_default();
    serde_json::from_str(&text).map_err(|error| unreadable(store, error))
}

/// What stands in `store` cannot be read.
pub fn unreadable(store: &'static str, reason: impl std::fmt::Display) -> StorageError {
    StorageError::Unreadable {
        store,
        reason: reason.to_string(),
    }
}
