//! A hitter's records since a time, a few at a time, and how many records an index
//! holds for a key: without making all of them into records.

use crate::device::database::{BY_HITTER, Database, StorageError};
use crate::device::idb;
use js_sys::{Array, Reflect};
use notebook::RecordId;
use wasm_bindgen::prelude::*;
use web_sys::{IdbIndex, IdbKeyRange};

/// Rows that are read at once: few enough that a touch does not wait for them.
const AT_ONCE: u32 = 200;

impl Database {
    /// Shows `visit` the rows of `store` that are of a hitter and were made since
    /// `from_ms` (milliseconds since 1970), in order of making, removed ones
    /// included. Reads no other.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn each_since(
        &self,
        store: &'static str,
        hitter: RecordId,
        from_ms: f64,
        visit: &mut dyn FnMut(&JsValue),
    ) -> Result<(), StorageError> {
        let hitter = JsValue::from_str(&hitter.to_string());
        // A list sorts after every text.
        let end = Array::of2(&hitter, &Array::new());
        let mut begin = Array::of2(&hitter, &first_id_at(from_ms).into());
        let mut is_begun = false;
        loop {
            let index = self.index(store, BY_HITTER)?;
            let range =
                IdbKeyRange::bound_with_lower_open_and_upper_open(&begin, &end, is_begun, false)?;
            let request = index.get_all_with_key_and_limit(&range, AT_ONCE)?;
            let rows: Array = idb::answered(&request).await?.unchecked_into();
            rows.iter().for_each(|row| visit(&row));
            if rows.length() < AT_ONCE {
                return Ok(());
            }
            let last = rows.get(rows.length() - 1);
            begin = Array::of2(&hitter, &under(&last, &["head", "id"]));
            is_begun = true;
        }
    }

    /// How many rows of a store an index holds under `key`, removed ones
    /// included.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn count_under(
        &self,
        store: &'static str,
        index: &'static str,
        key: RecordId,
    ) -> Result<u32, StorageError> {
        let index = self.index(store, index)?;
        let request = index.count_with_key(&key.to_string().into())?;
        let count = idb::answered(&request).await?.as_f64();
        Ok(count.unwrap_or(0.0) as u32)
    }

    fn index(&self, store: &'static str, index: &'static str) -> Result<IdbIndex, StorageError> {
        let transaction = self.connection().reading(&[store])?;
        Ok(transaction.object_store(store)?.index(index)?)
    }
}

/// What sorts just before the first id that can be made at a time.
fn first_id_at(ms: f64) -> String {
    let ms = ms.max(0.0) as u64;
    format!("{:08x}-{:04x}", ms >> 16, ms & 0xffff)
}

/// What stands in a row under a path; undefined when nothing does.
pub fn under(row: &JsValue, path: &[&str]) -> JsValue {
    path.iter().fold(row.clone(), |at, name| {
        Reflect::get(&at, &JsValue::from_str(name)).unwrap_or_default()
    })
}

/// The same, as text.
pub fn text_under(row: &JsValue, path: &[&str]) -> String {
    under(row, path).as_string().unwrap_or_default()
}

/// Whether a row is of a removed record.
pub fn is_removed(row: &JsValue) -> bool {
    under(row, &["head", "removed", "value"])
        .as_bool()
        .unwrap_or(false)
}

/// When a row was made, ms since 1970 (0 when it does not say).
pub fn made_ms(row: &JsValue) -> f64 {
    // Seconds and a fraction of 2^32, in hexadecimal digits.
    let made = text_under(row, &["head", "made"]);
    let part = |digits: Option<&str>| {
        let digits = digits.and_then(|digits| u32::from_str_radix(digits, 16).ok());
        f64::from(digits.unwrap_or(0))
    };
    let seconds = part(made.get(..8)) + part(made.get(8..16)) / 4_294_967_296.0;
    1000.0 * seconds
}
