//! Taking in batches, from the relay or a file: checked and opened one by one, then
//! stored with what they change in one transaction, so that a crash leaves either
//! before or after.

use super::error::Error;
use super::kept::{self, BATCHES, Kept, put_batch, put_row};
use super::open::{Core, Open, hand_on};
use super::records::{self, Merging};
use super::vault::SYNC;
use crate::device::database::DEVICE_STORE;
use crate::device::idb;
use crate::device::log::{READS_ONLY, SHARED};
use crate::device::subject::Subject;
use js_sys::{Object, Reflect};
use notebook::Change;
use notebook::sync::batch::{Header, Held, Place, Sealed};
use notebook::sync::{NotebookId, Role};
use wasm_bindgen::prelude::*;
use web_sys::IdbTransaction;

/// Takes in batches, those of one author in order; how many new entries they held.
/// Where one is refused, those before it are kept.
///
/// # Errors
/// Why a batch was refused, or what the browser says.
pub async fn take_in(core: &Core, open: &mut Open, batches: &[Vec<u8>]) -> Result<u32, Error> {
    let before = entries(&open.kept);
    let mut resealed = false;
    let mut rest = batches;
    let taken = loop {
        let Some(bytes) = rest.first() else {
            break Ok(());
        };
        let taken = match comes_next(&open.kept, bytes) {
            Ok(true) => take_in_next(core, open, rest).await,
            Ok(false) => take_in_known(core, open, bytes).await.map(|is_new| {
                resealed |= is_new;
                1
            }),
            Err(error) => Err(error),
        };
        match taken {
            Ok(many) => rest = rest.get(many..).unwrap_or_default(),
            Err(error) => break Err(error),
        }
    };
    let entries = entries(&open.kept) - before;
    if resealed {
        let mut next = open.kept.clone();
        open.look_through(core, &mut next).await?;
        open.keep(core, next).await?;
    }
    taken.map(|()| entries)
}

/// How many entries of all authors are here.
pub fn entries(kept: &Kept) -> u32 {
    kept.vector.iter().map(|(_, point)| point.last).sum()
}

/// Whether a batch begins beyond what is here of its author.
fn comes_next(kept: &Kept, bytes: &[u8]) -> Result<bool, Error> {
    let header = Sealed::read(bytes)?.header;
    Ok(header.first > kept.vector.last(header.device))
}

/// A batch that begins within what is here: checked against the stored one, whose
/// place it takes when it is sealed for a later epoch; whether it did.
async fn take_in_known(core: &Core, open: &Open, bytes: &[u8]) -> Result<bool, Error> {
    let connection = core.database.connection();
    let header = Sealed::read(bytes)?.header;
    let at = (header.device, header.first);
    let mut held = None;
    if let Some(stored) = kept::batch_at(connection, open.id, at).await? {
        let header = Sealed::read(&stored)?.header;
        held = Some(Held {
            content: header.content,
            epoch: header.epoch,
        });
    }
    let tip = open.kept.vector.get(header.device);
    let received = open.device(core)?.receive(bytes, tip, held)?;
    if received.place != Place::Resealed {
        return Ok(false);
    }
    let transaction = connection.strict(&[BATCHES])?;
    put_batch(&transaction, &header, bytes)?;
    idb::complete(&transaction).await?;
    Ok(true)
}

/// A batch that comes next: what it changes. `kept` is then the row with it.
fn receive(
    core: &Core,
    open: &Open,
    kept: &mut Kept,
    bytes: &[u8],
) -> Result<(Header, Vec<Change>), Error> {
    let header = Sealed::read(bytes)?.header;
    let tip = kept.vector.get(header.device);
    let mut changes = open.device(core)?.receive(bytes, tip, None)?.changes;
    kept.vector.set(header.device, header.point());
    hand_on(kept, &header, true);
    if kept.subject.is_none() {
        kept.subject = begins(open, &header, &changes)?;
    }
    // What belongs elsewhere is let go by: a member of one notebook must not write
    // into another. The entry counts all the same, or nobody would get past it.
    changes.retain(|change| {
        let of = records::subject(change);
        of.is_none() || of == kept.subject
    });
    Ok((header, changes))
}

/// Whose notebook it is: whoever began it logged that first. Others could name
/// whom they like.
fn begins(open: &Open, header: &Header, changes: &[Change]) -> Result<Option<Subject>, Error> {
    let founder = open.membership()?.owner_at(1);
    if header.first > 1 || founder != Some(header.device) {
        return Ok(None);
    }
    Ok(changes.first().and_then(records::subject))
}

/// Takes in the first of `batches`, which comes next, and those after it that come next
/// too and go into the same stores, in one transaction; how many.
///
/// Nothing is waited for on the way: while the browser stores one batch, the next is
/// opened. One that is refused ends it, and is met as the first the next time.
async fn take_in_next(core: &Core, open: &mut Open, batches: &[Vec<u8>]) -> Result<usize, Error> {
    let mut batches_left = batches.iter();
    let Some(mut bytes) = batches_left.next() else {
        return Ok(0);
    };
    let mut kept = open.kept.clone();
    let (mut header, mut changes) = receive(core, open, &mut kept, bytes)?;
    let subject = kept.subject;
    let mut stores = records::stores(&changes);
    stores.extend([BATCHES, SYNC, DEVICE_STORE, SHARED]);
    let transaction = core.database.connection().strict(&stores)?;
    let mut taken = 0;
    let latest = idb::carried_out(&transaction, async {
        let mut merging = Merging::within(&transaction, subject)?;
        loop {
            put_batch(&transaction, &header, bytes)?;
            merging.take(changes)?;
            taken += 1;
            let Some(next) = batches_left.next() else {
                break;
            };
            let mut with_it = kept.clone();
            match receive_next(core, open, &mut with_it, next) {
                Some(received) if goes_into(&received.1, &stores) => {
                    (bytes, kept) = (next, with_it);
                    (header, changes) = received;
                }
                _ => break,
            }
        }
        put_row(&transaction, &kept::notebook_key(open.id), &kept)?;
        if let (None, Some(subject)) = (open.kept.subject, subject) {
            share(&transaction, subject, (open.id, open.role(core)))?;
        }
        merging.finish().await
    })
    .await?;
    open.kept = kept;
    if let Some(latest) = latest {
        core.stamps.see(latest);
    }
    Ok(taken)
}

/// A batch that comes next and is not refused.
fn receive_next(
    core: &Core,
    open: &Open,
    kept: &mut Kept,
    bytes: &[u8],
) -> Option<(Header, Vec<Change>)> {
    let is_next = comes_next(kept, bytes).ok()?;
    is_next.then(|| receive(core, open, kept, bytes).ok())?
}

fn goes_into(changes: &[Change], stores: &[&str]) -> bool {
    let wanted = records::stores(changes);
    wanted.iter().all(|store| stores.contains(store))
}

/// From now on, writes to this subject are logged; or refused, where this phone only
/// reads.
pub fn share(
    transaction: &IdbTransaction,
    subject: Subject,
    (id, role): (NotebookId, Option<Role>),
) -> Result<(), idb::StorageError> {
    let row = Object::new();
    Reflect::set(&row, &"subject".into(), &subject.to_string().into())?;
    Reflect::set(
        &row,
        &"notebook".into(),
        &JsValue::from_str(&id.to_string()),
    )?;
    let reads_only = role == Some(Role::ReadOnly);
    Reflect::set(&row, &READS_ONLY.into(), &reads_only.into())?;
    transaction.object_store(SHARED)?.put(&row)?;
    Ok(())
}
