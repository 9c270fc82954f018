//! Beginning a notebook on this phone.

use super::error::Error;
use super::kept::{Filled, Kept, MEMBERSHIP, Want, entry_key, notebook_key, put_bytes, put_row};
use super::open::{Core, Open};
use super::records::piece;
use super::take_in::share;
use super::vault::SYNC;
use crate::device::idb;
use crate::device::log::{self, LOG, SHARED};
use crate::device::subject::{Subject, stores_of};
use notebook::sync::Role;
use notebook::sync::membership::found;
use wasm_bindgen::prelude::*;

/// A notebook begun on this phone, not yet at the relay. `first` are the records
/// that stand at the beginning of its log.
///
/// # Errors
/// What the browser says.
pub async fn begin(core: &Core, subject: Subject, sheet: Option<Want>) -> Result<Open, Error> {
    let (membership, entry, keys) = found(&core.secret, Role::Coach, &mut core.random.clone())?;
    let mut open = Open::new(membership.id(), Kept::default());
    let next = Kept {
        subject: Some(subject),
        keys: open.sealed_keys(core, &keys).await?,
        filling: Some(Filled::default()),
        wants: sheet.into_iter().collect(),
        ..Kept::default()
    };
    let of = JsValue::from_str(&subject.to_string());
    let first = stores_of(subject)[0];
    let stores = [first, MEMBERSHIP, SYNC, LOG, SHARED];
    let transaction = core.database.connection().strict(&stores)?;
    let begun = async {
        let entries = transaction.object_store(MEMBERSHIP)?;
        put_bytes(&entries, &entry_key(open.id, 0), &entry)?;
        put_row(&transaction, &notebook_key(open.id), &next)?;
        share(&transaction, subject, (open.id, None))?;
        // Before any write of a page: by its first entry others know whose it is.
        let (found, _) = piece(&transaction, subject, first, "", 1).await?;
        for (store, record) in &found {
            log::put(&transaction, &of, store, None, record)?;
        }
        Ok::<_, Error>(u32::try_from(found.len()).unwrap_or(1))
    };
    match begun.await {
        Ok(logged) => {
            idb::complete(&transaction).await?;
            open.unsealed = logged;
        }
        Err(error) => {
            let _ = transaction.abort();
            return Err(error);
        }
    }
    open.kept = next;
    open.membership = Some(membership);
    open.entries = vec![entry];
    open.keys = keys;
    Ok(open)
}
