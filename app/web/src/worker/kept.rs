//! What is stored of a notebook beside its records: one row, its membership log,
//! and its sealed batches. Names of stores and forms of keys; no rule of syncing.

use super::error::Error;
use super::hex::{Hex, to_hex};
use super::vault::SYNC;
use crate::device::idb::{self, Connection, StorageError, from_js, to_js};
use crate::device::subject::Subject;
use crate::device::sync_messages::Role;
use js_sys::{Array, Object, Reflect, Uint8Array};
use notebook::DeviceId;
use notebook::sync::batch::{Header, Sealed};
use notebook::sync::{NotebookId, Vector};
use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;
use web_sys::{IdbCursorDirection, IdbKeyRange, IdbObjectStore, IdbTransaction};

/// Membership logs, an entry a row.
pub const MEMBERSHIP: &str = "membership";
/// Sealed batches of all authors.
pub const BATCHES: &str = "batches";

/// A change of membership that the owner wants and that is not made yet: it is made
/// when the phone is in step, so that it leaves nothing out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Want {
    /// Let a device in: id, signing key and receiving key.
    Admit(Hex, Role),
    /// Take a member off.
    TakeOff(DeviceId),
    /// Give a member another role.
    Change(DeviceId, Role),
    /// Make a member the owner.
    HandOver(DeviceId),
}

/// How far the records that were there before are logged.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Filled {
    /// Place in the list of stores.
    pub store: usize,
    /// The last record logged of that store; empty: none.
    pub after: String,
}

/// The row of a notebook. Written by the one worker that syncs, nobody else.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Kept {
    /// Whose; `None` until the first entries have come.
    pub subject: Option<Subject>,
    /// All entries applied.
    #[serde(with = "vector")]
    pub vector: Vector,
    /// Up to where stored batches count in the present epoch.
    #[serde(with = "vector")]
    pub hand_on: Vector,
    /// Up to where batches are no longer stored.
    #[serde(with = "vector")]
    pub removed: Vector,
    /// What the relay has of our acknowledgements.
    #[serde(with = "vector")]
    pub acknowledged: Vector,
    /// Stored batches to be sealed again or adopted.
    pub unsettled: Vec<(DeviceId, u32)>,
    /// Batches whose changes went into this phone's own log.
    pub adopted: Vec<(DeviceId, u32)>,
    /// A membership entry of our own on its way, and whether it has been sent.
    pub proposed: Option<(Hex, bool)>,
    /// Keys by epoch, sealed by the vault.
    pub keys: Vec<(u32, Hex)>,
    /// Changes of membership to make.
    pub wants: Vec<Want>,
    /// How far the records of before are logged; `None` when all are.
    pub filling: Option<Filled>,
    /// The pass by which this phone joins.
    pub pass: Option<Hex>,
    /// The sealed request to join, with the name of the mailbox, until it is there.
    pub to_send: Option<(String, Hex)>,
    /// This phone was taken off.
    pub off: bool,
    /// This phone goes on as a new one after a clash, and waits to be let in again.
    pub anew: bool,
    /// The last entry of this phone that the relay has.
    pub confirmed: u32,
    /// When it was last in step, in milliseconds since 1970.
    pub in_step_ms: Option<f64>,
    /// How many entries the last snapshot held.
    pub in_snapshot: u32,
}

mod vector {
    use crate::worker::hex::Hex;
    use notebook::sync::Vector;
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    pub fn serialize<S: Serializer>(vector: &Vector, to: S) -> Result<S::Ok, S::Error> {
        Hex(vector.bytes()).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Vector, D::Error> {
        Vector::read(&Hex::deserialize(from)?.0).map_err(D::Error::custom)
    }
}

/// A row with its key.
#[derive(Serialize, Deserialize)]
struct Row<T> {
    key: String,
    value: T,
}

/// Puts a single row of the worker's store.
pub fn put_row<T: Serialize>(
    transaction: &IdbTransaction,
    key: &str,
    value: &T,
) -> Result<(), StorageError> {
    let row = Row {
        key: key.to_owned(),
        value,
    };
    transaction.object_store(SYNC)?.put(&to_js(&row)?)?;
    Ok(())
}

/// Puts a single row in a transaction of its own.
pub async fn keep_row<T: Serialize>(
    connection: &Connection,
    key: &str,
    value: &T,
) -> Result<(), StorageError> {
    let transaction = connection.strict(&[SYNC])?;
    idb::carried_out(&transaction, async { put_row(&transaction, key, value) }).await
}

/// Removes a single row.
pub async fn forget_row(connection: &Connection, key: &str) -> Result<(), StorageError> {
    let transaction = connection.strict(&[SYNC])?;
    transaction.object_store(SYNC)?.delete(&key.into())?;
    idb::complete(&transaction).await
}

/// A single row.
pub async fn row<T: for<'de> Deserialize<'de>>(
    connection: &Connection,
    key: &str,
) -> Result<Option<T>, StorageError> {
    let transaction = connection.reading(&[SYNC])?;
    let row = idb::get(&transaction.object_store(SYNC)?, &key.into()).await?;
    let row = row.map(|row| from_js::<Row<T>>(&row, SYNC)).transpose()?;
    Ok(row.map(|row| row.value))
}

/// All single rows whose key begins so, with the rest of their keys.
pub async fn rows<T: for<'de> Deserialize<'de>>(
    connection: &Connection,
    begin: &str,
) -> Result<Vec<(String, T)>, StorageError> {
    let transaction = connection.reading(&[SYNC])?;
    let found = all(&transaction.object_store(SYNC)?, begin).await?;
    let read = |row| {
        let row: Row<T> = from_js(&row, SYNC)?;
        Ok((row.key[begin.len()..].to_owned(), row.value))
    };
    found.iter().map(read).collect()
}

/// Key of a notebook's row.
pub fn notebook_key(id: NotebookId) -> String {
    format!("{NOTEBOOK}{id}")
}

/// How the keys of notebooks begin.
pub const NOTEBOOK: &str = "notebook/";

/// Key of a batch: sorts by author and first entry.
pub fn batch_key(id: NotebookId, author: DeviceId, first: u32) -> String {
    format!("{id}/{}/{first:08x}", to_hex(author.as_bytes()))
}

/// How the keys of an author's batches begin.
pub fn author_key(id: NotebookId, author: DeviceId) -> String {
    format!("{id}/{}/", to_hex(author.as_bytes()))
}

/// Key of a membership entry.
pub fn entry_key(id: NotebookId, number: u32) -> String {
    format!("{id}/{number:08x}")
}

/// Puts bytes under a key.
pub fn put_bytes(store: &IdbObjectStore, key: &str, bytes: &[u8]) -> Result<(), StorageError> {
    let row = Object::new();
    Reflect::set(&row, &"key".into(), &key.into())?;
    Reflect::set(&row, &"bytes".into(), &Uint8Array::from(bytes))?;
    store.put(&row)?;
    Ok(())
}

fn bytes_in(row: &JsValue) -> Vec<u8> {
    let bytes = Reflect::get(row, &"bytes".into()).unwrap_or_default();
    bytes
        .dyn_into::<Uint8Array>()
        .map(|bytes| bytes.to_vec())
        .unwrap_or_default()
}

async fn all(store: &IdbObjectStore, begin: &str) -> Result<Array, StorageError> {
    let range = beginning(begin)?;
    let found = idb::answered(&store.get_all_with_key(&range)?).await?;
    Ok(found.unchecked_into())
}

/// The range of all keys that begin so.
pub fn beginning(begin: &str) -> Result<IdbKeyRange, StorageError> {
    let end = format!("{begin}\u{ffff}");
    Ok(IdbKeyRange::bound(&begin.into(), &end.into())?)
}

/// All bytes whose keys begin so, in order of key.
pub async fn all_bytes(
    connection: &Connection,
    store: &str,
    begin: &str,
) -> Result<Vec<Vec<u8>>, StorageError> {
    let transaction = connection.reading(&[store])?;
    let found = all(&transaction.object_store(store)?, begin).await?;
    Ok(found.iter().map(|row| bytes_in(&row)).collect())
}

/// The bytes under a key.
pub async fn bytes_at(
    connection: &Connection,
    store: &str,
    key: &str,
) -> Result<Option<Vec<u8>>, StorageError> {
    let transaction = connection.reading(&[store])?;
    let row = idb::get(&transaction.object_store(store)?, &key.into()).await?;
    Ok(row.map(|row| bytes_in(&row)))
}

/// The stored batch that begins where `header` does.
pub async fn batch_at(
    connection: &Connection,
    id: NotebookId,
    (author, first): (DeviceId, u32),
) -> Result<Option<Vec<u8>>, StorageError> {
    bytes_at(connection, BATCHES, &batch_key(id, author, first)).await
}

/// The stored batch of `author` that holds entry `number`, or, if that is not
/// stored, the one before.
pub async fn batch_with(
    connection: &Connection,
    id: NotebookId,
    author: DeviceId,
    number: u32,
) -> Result<Option<Vec<u8>>, StorageError> {
    let transaction = connection.reading(&[BATCHES])?;
    let store = transaction.object_store(BATCHES)?;
    let from = batch_key(id, author, 0);
    let to = batch_key(id, author, number);
    let range = IdbKeyRange::bound(&from.into(), &to.into())?;
    let request = store.open_cursor_with_range_and_direction(&range, IdbCursorDirection::Prev)?;
    let cursor = idb::answered(&request).await?;
    if cursor.is_null() {
        return Ok(None);
    }
    let row = Reflect::get(&cursor, &"value".into())?;
    Ok(Some(bytes_in(&row)))
}

/// The stored batches of an author from the one with entry `number` on, as far as they
/// end by entry `to`; so many that one request can carry them.
pub async fn batches_from(
    connection: &Connection,
    id: NotebookId,
    (author, number): (DeviceId, u32),
    to: u32,
) -> Result<Vec<Vec<u8>>, Error> {
    /// As many of the usual size fill a run.
    const MOST: u32 = 16;
    let Some(first) = batch_with(connection, id, author, number).await? else {
        return Ok(Vec::new());
    };
    let from = batch_key(id, author, Sealed::read(&first)?.header.first);
    let range = IdbKeyRange::bound(&from.into(), &batch_key(id, author, to).into())?;
    let transaction = connection.reading(&[BATCHES])?;
    let store = transaction.object_store(BATCHES)?;
    let request = store.get_all_with_key_and_limit(&range, MOST)?;
    let rows: Array = idb::answered(&request).await.map(JsCast::unchecked_into)?;
    let mut batches: Vec<Vec<u8>> = Vec::new();
    let mut next = None;
    for row in rows.iter() {
        let batch = bytes_in(&row);
        let header = Sealed::read(&batch)?.header;
        if header.last > to || next.is_some_and(|next| header.first != next) {
            break;
        }
        next = Some(header.last + 1);
        batches.push(batch);
    }
    Ok(batches)
}

/// Puts a batch.
pub fn put_batch(
    transaction: &IdbTransaction,
    header: &Header,
    bytes: &[u8],
) -> Result<(), StorageError> {
    let key = batch_key(header.notebook, header.device, header.first);
    put_bytes(&transaction.object_store(BATCHES)?, &key, bytes)
}

/// Keeps the row of a notebook in a transaction of its own.
pub async fn keep(connection: &Connection, id: NotebookId, kept: &Kept) -> Result<(), Error> {
    Ok(keep_row(connection, &notebook_key(id), kept).await?)
}
