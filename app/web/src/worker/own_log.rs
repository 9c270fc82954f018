//! This device's own log: sealing what was written, logging what was there before
//! the notebook was shared, and what becomes of batches after a new epoch.

use super::error::Error;
use super::kept::{self, BATCHES, Filled, Kept, put_batch, put_row};
use super::open::{Core, Open, hand_on};
use super::records;
use super::vault::SYNC;
use crate::device::idb::{self, from_js};
use crate::device::log::{self, LOG};
use crate::device::subject::{Subject, stores_of};
use js_sys::{Array, Reflect};
use notebook::Change;
use notebook::sync::Role;
use notebook::sync::batch::Sealed;
use notebook::sync::log::Afterwards;
use serde_json::Value;
use wasm_bindgen::prelude::*;

/// How many rows are looked at to make one batch: more than fit into one.
const ROWS: u32 = 400;
/// How many records of before are logged in one transaction.
const FILL: u32 = 500;

/// Counts the rows that wait to be sealed.
///
/// # Errors
/// What the browser says.
pub async fn count(core: &Core, open: &mut Open) -> Result<(), Error> {
    let Some(subject) = open.kept.subject else {
        return Ok(());
    };
    let transaction = core.database.connection().reading(&[LOG])?;
    let index = transaction.object_store(LOG)?.index("subject")?;
    let counted = index.count_with_key(&subject.to_string().into())?;
    let counted = idb::answered(&counted).await?.as_f64();
    open.unsealed = counted.unwrap_or_default() as u32;
    Ok(())
}

/// Seals the first waiting rows into a batch.
///
/// # Errors
/// When this device may not write, or what the browser says.
pub async fn seal(core: &Core, open: &mut Open) -> Result<(), Error> {
    let Some(subject) = open.kept.subject else {
        return Ok(());
    };
    let connection = core.database.connection();
    let transaction = connection.reading(&[LOG])?;
    let index = transaction.object_store(LOG)?.index("subject")?;
    let request = index.get_all_with_key_and_limit(&subject.to_string().into(), ROWS)?;
    let rows: Array = idb::answered(&request).await?.unchecked_into();
    let mut changes = Vec::new();
    let mut numbers = Vec::new();
    for row in rows.iter() {
        let field = |name: &str| Reflect::get(&row, &name.into());
        let stored = field("stored")?;
        let stored: Option<Value> = if stored.is_undefined() {
            None
        } else {
            Some(from_js(&stored, LOG)?)
        };
        let record: Value = from_js(&field("record")?, LOG)?;
        let store = field("store")?.as_string().unwrap_or_default();
        changes.push(Change::between(&store, stored.as_ref(), &record));
        numbers.push(field("n")?);
    }
    let tip = open.kept.vector.get(core.me());
    let mut random = core.random.clone();
    let Some(batch) = open.device(core)?.seal(tip, &changes, &mut random)? else {
        open.unsealed = 0;
        return Ok(());
    };
    let sealed = batch.header.last - tip.map_or(0, |tip| tip.last);
    let mut next = open.kept.clone();
    next.vector.set(core.me(), batch.header.point());
    hand_on(&mut next, &batch.header, true);
    let transaction = connection.strict(&[LOG, BATCHES, SYNC])?;
    idb::carried_out(&transaction, async {
        let log = transaction.object_store(LOG)?;
        for number in numbers.iter().take(sealed as usize) {
            log.delete(number)?;
        }
        put_batch(&transaction, &batch.header, &batch.bytes)?;
        put_row(&transaction, &kept::notebook_key(open.id), &next)
    })
    .await?;
    open.kept = next;
    open.unsealed = open.unsealed.saturating_sub(sealed);
    Ok(())
}

/// Seals all that waits, what was there before the notebook was shared included.
///
/// # Errors
/// As [`seal`] and [`fill`].
pub async fn seal_all(core: &Core, open: &mut Open) -> Result<(), Error> {
    while open.role(core).is_some_and(Role::may_write) {
        if open.unsealed > 0 {
            seal(core, open).await?;
        } else if open.kept.filling.is_some() {
            fill(core, open).await?;
        } else {
            break;
        }
    }
    Ok(())
}

/// Logs the next records that were there before the notebook was shared. Cut short,
/// it goes on where it was.
///
/// # Errors
/// What the browser says.
pub async fn fill(core: &Core, open: &mut Open) -> Result<(), Error> {
    let (Some(subject), Some(filled)) = (open.kept.subject, open.kept.filling.clone()) else {
        return Ok(());
    };
    let mut next = open.kept.clone();
    let Some(store) = stores_of(subject).get(filled.store) else {
        next.filling = None;
        return open.keep(core, next).await;
    };
    let transaction = core.database.connection().strict(&[store, LOG, SYNC])?;
    let id = open.id;
    let logged = async {
        let (found, after) =
            records::piece(&transaction, subject, store, &filled.after, FILL).await?;
        let of = JsValue::from_str(&subject.to_string());
        for (store, record) in &found {
            log::put(&transaction, &of, store, None, record)?;
        }
        next.filling = Some(if found.len() < FILL as usize {
            Filled {
                store: filled.store + 1,
                after: String::new(),
            }
        } else {
            Filled { after, ..filled }
        });
        put_row(&transaction, &kept::notebook_key(id), &next)?;
        Ok::<_, Error>(u32::try_from(found.len()).unwrap_or(FILL))
    };
    match logged.await {
        Ok(logged) => {
            idb::complete(&transaction).await?;
            open.kept = next;
            open.unsealed += logged;
            Ok(())
        }
        Err(error) => {
            let _ = transaction.abort();
            Err(error)
        }
    }
}

/// Seals again, or adopts, what did not count when the epoch changed.
///
/// # Errors
/// When a stored batch cannot be opened, or what the browser says.
pub async fn settle(core: &Core, open: &mut Open) -> Result<(), Error> {
    let connection = core.database.connection();
    for at in open.kept.unsettled.clone() {
        let Some(bytes) = kept::batch_at(connection, open.id, at).await? else {
            continue;
        };
        let sealed = Sealed::read(&bytes)?;
        let device = open.device(core)?;
        match device.after_new_epoch(&sealed.header) {
            Afterwards::Stands => {}
            Afterwards::Reseal => {
                let bytes = device.reseal(&bytes, &mut core.random.clone())?;
                let transaction = connection.strict(&[BATCHES])?;
                put_batch(&transaction, &Sealed::read(&bytes)?.header, &bytes)?;
                idb::complete(&transaction).await?;
            }
            Afterwards::Adopt => {
                let changes = device.open(&sealed)?;
                let mut next = open.kept.clone();
                next.adopted.push(at);
                adopt(core, open, next, &changes).await?;
            }
        }
    }
    let mut next = open.kept.clone();
    open.look_through(core, &mut next).await?;
    open.keep(core, next).await
}

async fn adopt(core: &Core, open: &mut Open, next: Kept, changes: &[Change]) -> Result<(), Error> {
    let subject = open.kept.subject.unwrap_or(Subject::Club);
    let of = JsValue::from_str(&subject.to_string());
    let transaction = core.database.connection().strict(&[LOG, SYNC])?;
    idb::carried_out(&transaction, async {
        for change in changes {
            let record = idb::to_js(&change.record)?;
            log::put(&transaction, &of, &change.store, None, &record)?;
        }
        put_row(&transaction, &kept::notebook_key(open.id), &next)
    })
    .await?;
    open.kept = next;
    open.unsealed += u32::try_from(changes.len()).unwrap_or_default();
    Ok(())
}
