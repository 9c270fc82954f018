//! Going on as a new device after a clash: another phone has used this one's numbers,
//! so what was written here and is not known to be at the relay is written again under
//! an identity of its own.

use super::error::Error;
use super::kept::{self, BATCHES, Kept, notebook_key, put_row};
use super::open::{Core, Open};
use super::vault::SYNC;
use crate::device::clock::new_id;
use crate::device::database::DEVICE_STORE;
use crate::device::idb;
use crate::device::log::{self, LOG};
use js_sys::{Object, Reflect};
use notebook::sync::batch::{Header, Sealed};
use notebook::sync::log::unconfirmed;
use notebook::sync::{Point, Vector};
use notebook::{Change, DeviceId};
use wasm_bindgen::prelude::*;

/// What becomes of one notebook.
struct Next {
    key: String,
    kept: Kept,
    /// To be written again.
    changes: Vec<Change>,
    /// Keys of batches that are let go.
    gone: Vec<String>,
}

/// Takes a new identity, in one transaction over all notebooks: a crash leaves either
/// the old one or the new one. The keys of the new one are drawn when the worker
/// begins again.
///
/// # Errors
/// When a stored batch does not open, or what the browser says; then nothing has
/// changed.
pub async fn go_on(core: &Core, notebooks: &[Open]) -> Result<(), Error> {
    let mut all = Vec::with_capacity(notebooks.len());
    for open in notebooks {
        all.push(next(core, open).await?);
    }
    let device = DeviceId::from_bytes(*new_id().as_bytes());
    let stores = [BATCHES, DEVICE_STORE, LOG, SYNC];
    let transaction = core.database.connection().strict(&stores)?;
    idb::carried_out(&transaction, async {
        let fact = Object::new();
        Reflect::set(&fact, &"key".into(), &"device".into())?;
        Reflect::set(&fact, &"value".into(), &device.to_string().into())?;
        transaction.object_store(DEVICE_STORE)?.put(&fact)?;
        let batches = transaction.object_store(BATCHES)?;
        for next in &all {
            for key in &next.gone {
                batches.delete(&key.as_str().into())?;
            }
            for change in &next.changes {
                let of = next
                    .kept
                    .subject
                    .map_or_else(String::new, |of| of.to_string());
                let record = idb::to_js(&change.record)?;
                log::put(
                    &transaction,
                    &JsValue::from_str(&of),
                    &change.store,
                    None,
                    &record,
                )?;
            }
            put_row(&transaction, &next.key, &next.kept)?;
        }
        Ok(())
    })
    .await?;
    Ok(())
}

async fn next(core: &Core, open: &Open) -> Result<Next, Error> {
    let old = core.me();
    let mut kept = open.kept.clone();
    let mut next = Next {
        key: notebook_key(open.id),
        kept: Kept::default(),
        changes: Vec::new(),
        gone: Vec::new(),
    };
    if open.membership.is_some() {
        let connection = core.database.connection();
        let stored = kept::all_bytes(connection, BATCHES, &kept::author_key(open.id, old)).await?;
        let mut confirmed = Vector::default();
        if let Some(point) = sure(&kept, &stored, old)? {
            confirmed.set(old, point);
        }
        let batches = stored.iter().map(Vec::as_slice);
        next.changes = unconfirmed(&open.device(core)?, old, &confirmed, batches)?;
        for bytes in &stored {
            let header = Sealed::read(bytes)?.header;
            if header.last > confirmed.last(old) {
                next.gone.push(kept::batch_key(open.id, old, header.first));
            }
        }
        for vector in [&mut kept.vector, &mut kept.hand_on] {
            vector.remove(old);
            if let Some(point) = confirmed.get(old) {
                vector.set(old, point);
            }
        }
        kept.unsettled.retain(|(author, _)| *author != old);
        kept.off = true;
        kept.anew = true;
    } else {
        // Its request to join names the old keys.
        kept.to_send = None;
    }
    next.kept = Kept {
        acknowledged: Vector::default(),
        proposed: None,
        wants: Vec::new(),
        confirmed: 0,
        in_step_ms: None,
        ..kept
    };
    Ok(next)
}

/// The last point of the old identity that the relay is known to have of this phone.
fn sure(kept: &Kept, stored: &[Vec<u8>], old: DeviceId) -> Result<Option<Point>, Error> {
    let mut sure = kept.removed.get(old);
    for bytes in stored {
        let header: Header = Sealed::read(bytes)?.header;
        if header.last <= kept.confirmed {
            sure = Some(header.point());
        }
    }
    Ok(sure)
}
