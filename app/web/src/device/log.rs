//! The device's own log, as far as the page writes it: a row for each write into a
//! notebook that is shared, in the transaction of that write. The sync worker
//! makes entries of the rows, gives them their numbers in this order, and removes
//! them once they are sealed.
//!
//! A row holds the record as it stands and the copy that stood before, so that the
//! page needs none of the code that tells their difference.

use super::idb::{self, StorageError};
use super::subject::{Subject, subject_of};
use js_sys::{Object, Reflect};
use wasm_bindgen::prelude::*;
use web_sys::IdbTransaction;

/// Rows that are not sealed yet.
pub const LOG: &str = "log";
/// A row for each subject whose notebook is shared; nothing else is logged.
pub const SHARED: &str = "shared";

/// The field of a row of [`SHARED`] that says that this phone only reads.
pub const READS_ONLY: &str = "readsOnly";

/// The row of [`SHARED`] that a record belongs to, asked for.
pub struct Shared<Row>(Option<(JsValue, Row)>);

/// Asks whether the notebook of a record in the browser's form is shared. The
/// transaction must be over [`SHARED`] too.
///
/// # Errors
/// What the browser says.
pub fn shared(
    transaction: &IdbTransaction,
    store: &str,
    record: &JsValue,
) -> Result<Shared<impl Future<Output = Result<Option<JsValue>, StorageError>> + use<>>, StorageError>
{
    let Some(subject) = subject_in(store, record) else {
        return Ok(Shared(None));
    };
    let subject = JsValue::from_str(&subject.to_string());
    let row = idb::get(&transaction.object_store(SHARED)?, &subject);
    Ok(Shared(Some((subject, row))))
}

impl<Row: Future<Output = Result<Option<JsValue>, StorageError>>> Shared<Row> {
    /// Notes a write, if its notebook is shared. The transaction must be over [`LOG`]
    /// too. `record` has been put into `store`, where `stored` lay.
    ///
    /// # Errors
    /// [`StorageError::ReadsOnly`], or what the browser says.
    pub async fn note(
        self,
        transaction: &IdbTransaction,
        store: &str,
        stored: Option<&JsValue>,
        record: &JsValue,
    ) -> Result<(), StorageError> {
        let Some((subject, row)) = self.0 else {
            return Ok(());
        };
        if let Some(row) = row.await? {
            if Reflect::get(&row, &READS_ONLY.into())?.is_truthy() {
                return Err(StorageError::ReadsOnly);
            }
            put(transaction, &subject, store, stored, record)?;
        }
        Ok(())
    }
}

/// Puts a row.
///
/// # Errors
/// What the browser says.
pub fn put(
    transaction: &IdbTransaction,
    subject: &JsValue,
    store: &str,
    stored: Option<&JsValue>,
    record: &JsValue,
) -> Result<(), StorageError> {
    let row = Object::new();
    Reflect::set(&row, &"subject".into(), subject)?;
    Reflect::set(&row, &"store".into(), &store.into())?;
    Reflect::set(&row, &"record".into(), record)?;
    if let Some(stored) = stored {
        Reflect::set(&row, &"stored".into(), stored)?;
    }
    transaction.object_store(LOG)?.add(&row)?;
    Ok(())
}

/// Whose notebook a record in the browser's form belongs to.
fn subject_in(store: &str, record: &JsValue) -> Option<Subject> {
    let text = |object: &JsValue, name: &str| Reflect::get(object, &name.into()).ok()?.as_string();
    let head = Reflect::get(record, &"head".into()).ok()?;
    subject_of(
        store,
        &text(&head, "id")?,
        text(record, "hitter").as_deref(),
    )
}
