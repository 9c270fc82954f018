//! A hitter's records since a time, a few at a time; the latest ones with what
//! belongs to them, in as few trips to the disk as can be; and how many records an
//! index holds for a key. Without making all of them into records.

use crate::device::database::{BY_HITTER, Database, StorageError};
use crate::device::idb;
use js_sys::{Array, Reflect};
use notebook::{Record, RecordId};
use wasm_bindgen::prelude::*;
use web_sys::{IdbCursor, IdbCursorDirection, IdbIndex, IdbKeyRange};

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

    /// The rows of `store` of the latest `n` records of these hitters together,
    /// oldest first, each with the rows of `parts` whose `index` names it. Two trips
    /// to the disk, however many there are; one answer for the rows of each hitter
    /// and one for the parts of each row.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn latest_with_parts(
        &self,
        (store, parts, index): (&'static str, &'static str, &'static str),
        hitters: &[RecordId],
        n: usize,
    ) -> Result<Vec<(JsValue, Array)>, StorageError> {
        let transaction = self.connection().reading(&[store, parts])?;
        let rows = transaction.object_store(store)?;
        let by_hitter = rows.index(BY_HITTER)?;
        let by_row = transaction.object_store(parts)?.index(index)?;
        let mut asked = Vec::new();
        for hitter in hitters {
            let request = by_hitter.get_all_keys_with_key(&all_of(*hitter)?.into())?;
            asked.push(idb::answered(&request));
        }
        // Ids begin with the time: their order is that of making.
        let mut ids: Vec<String> = Vec::new();
        for keys in asked {
            let keys: Array = keys.await?.unchecked_into();
            let older = keys.length().saturating_sub(n as u32);
            ids.extend(
                keys.slice(older, keys.length())
                    .iter()
                    .filter_map(|id| id.as_string()),
            );
        }
        ids.sort_unstable();
        let older = ids.len().saturating_sub(n);
        let Some(oldest) = ids.get(older).cloned() else {
            return Ok(Vec::new());
        };
        // Every answer takes its turn in a busy page: few large ones, not many small.
        let mut asked_rows = Vec::new();
        for hitter in hitters {
            let latest = latest_from(*hitter, &oldest)?;
            let request = by_hitter.get_all_with_key(&latest.into())?;
            asked_rows.push(idb::answered(&request));
        }
        let mut asked_parts = Vec::new();
        for id in &ids[older..] {
            let request = by_row.get_all_with_key(&JsValue::from_str(id))?;
            asked_parts.push(idb::answered(&request));
        }
        let mut rows: Vec<(String, JsValue)> = Vec::new();
        for of_hitter in asked_rows {
            let of_hitter: Array = of_hitter.await?.unchecked_into();
            rows.extend(
                of_hitter
                    .iter()
                    .map(|row| (text_under(&row, &["head", "id"]), row)),
            );
        }
        rows.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        let mut found = Vec::new();
        // The rows are those of the ids, in the same order.
        for ((_, row), parts) in rows.into_iter().zip(asked_parts) {
            found.push((row, parts.await?.unchecked_into()));
        }
        Ok(found)
    }

    /// The latest `n` records of each of these hitters, of each in order of making;
    /// fewer when some cannot be read. Three trips, however many there are.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn latest_of_all<R: Record>(
        &self,
        hitters: &[RecordId],
        n: u32,
    ) -> Result<Vec<R>, StorageError> {
        let mut found = Vec::new();
        for hitter in hitters {
            let index = self.index(R::KIND.store(), BY_HITTER)?;
            let all = all_of(*hitter)?;
            let cursor =
                index.open_key_cursor_with_range_and_direction(&all, IdbCursorDirection::Prev)?;
            let mut last = idb::answered(&cursor).await?;
            if n > 1
                && let Some(newest) = last.dyn_ref::<IdbCursor>()
            {
                newest.advance(n - 1)?;
                last = idb::answered(&cursor).await?;
            }
            let range = match last.dyn_ref::<IdbCursor>() {
                // Fewer than so many: all there are.
                None => all,
                Some(oldest) => IdbKeyRange::bound(&oldest.key()?, &all.upper()?)?,
            };
            let rows: Array = idb::answered(&index.get_all_with_key(&range)?)
                .await?
                .unchecked_into();
            let rows: Vec<JsValue> = rows.iter().collect();
            found.extend(self.readable(rows.iter()));
        }
        Ok(found)
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

/// All keys of a hitter: a list sorts after every text.
fn all_of(hitter: RecordId) -> Result<IdbKeyRange, StorageError> {
    latest_from(hitter, "")
}

/// The range of a hitter in an index by hitter and id, from an id on.
fn latest_from(hitter: RecordId, id: &str) -> Result<IdbKeyRange, StorageError> {
    let hitter = JsValue::from_str(&hitter.to_string());
    let begin = Array::of2(&hitter, &JsValue::from_str(id));
    let end = Array::of2(&hitter, &Array::new());
    Ok(IdbKeyRange::bound(&begin, &end)?)
}

/// What sorts just before the first id that can be made at a time.
fn first_id_at(ms: f64) -> String {
    let ms = ms.max(0.0) as u64;
    format!("{:08x}-{:04x}", ms >> 16, ms & 0xffff)
}

/// What stands in a row under a path; undefined when nothing does.
pub fn under(row: &JsValue, path: &[&str]) -> JsValue {
    path.iter().fold(row.clone(), |at, name| {
        // The browser throws when asked for a field of nothing, and that is slow.
        match at.is_undefined() {
            true => at,
            false => Reflect::get(&at, &JsValue::from_str(name)).unwrap_or_default(),
        }
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
