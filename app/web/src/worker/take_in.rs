//! Taking in batches, from the relay or a file: checked and opened one by one, then
//! stored with what they change in one transaction, so that a crash leaves either
//! before or after.

use super::error::Error;
use super::kept::{self, BATCHES, Kept, put_batch, put_row};
use super::open::{Core, Open, hand_on};
use super::records;
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

/// What is to be stored.
struct Taken {
    kept: Kept,
    changes: Vec<Change>,
    batches: Vec<(Header, usize)>,
    resealed: bool,
}

/// Takes in batches, those of one author in order; how many new entries they held.
/// Where one is refused, those before it are kept.
///
/// # Errors
/// Why a batch was refused, or what the browser says.
pub async fn take_in(core: &Core, open: &mut Open, batches: &[Vec<u8>]) -> Result<u32, Error> {
    let mut taken = Taken {
        kept: open.kept.clone(),
        changes: Vec::new(),
        batches: Vec::new(),
        resealed: false,
    };
    let mut refused = None;
    for (index, bytes) in batches.iter().enumerate() {
        if let Err(error) = receive(core, open, &mut taken, (index, bytes)).await {
            refused = Some(error);
            break;
        }
    }
    let entries = entries(&taken.kept) - entries(&open.kept);
    if !taken.batches.is_empty() {
        store(core, open, taken, batches).await?;
    }
    refused.map_or(Ok(entries), Err)
}

/// How many entries of all authors are here.
pub fn entries(kept: &Kept) -> u32 {
    kept.vector.iter().map(|(_, point)| point.last).sum()
}

async fn receive(
    core: &Core,
    open: &Open,
    taken: &mut Taken,
    (index, bytes): (usize, &Vec<u8>),
) -> Result<(), Error> {
    let header = Sealed::read(bytes)?.header;
    let tip = taken.kept.vector.get(header.device);
    let mut held = None;
    if tip.is_some_and(|tip| header.first <= tip.last) {
        let at = (header.device, header.first);
        let stored = kept::batch_at(core.database.connection(), open.id, at).await?;
        if let Some(stored) = stored {
            let header = Sealed::read(&stored)?.header;
            held = Some(Held {
                content: header.content,
                epoch: header.epoch,
            });
        }
    }
    let received = open.device(core)?.receive(bytes, tip, held)?;
    match received.place {
        Place::Known => return Ok(()),
        Place::Next => {
            taken.kept.vector.set(header.device, header.point());
            hand_on(&mut taken.kept, &header, true);
        }
        Place::Resealed => taken.resealed = true,
    }
    if taken.kept.subject.is_none() {
        taken.kept.subject = begins(open, &header, &received.changes)?;
    }
    let subject = taken.kept.subject;
    taken.batches.push((header, index));
    // What belongs elsewhere is let go by: a member of one notebook must not write
    // into another. The entry counts all the same, or nobody would get past it.
    let own = |change: &Change| {
        let of = records::subject(change);
        of.is_none() || of == subject
    };
    taken
        .changes
        .extend(received.changes.into_iter().filter(own));
    Ok(())
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

async fn store(
    core: &Core,
    open: &mut Open,
    mut taken: Taken,
    batches: &[Vec<u8>],
) -> Result<(), Error> {
    let connection = core.database.connection();
    if taken.resealed {
        for (header, index) in &taken.batches {
            let transaction = connection.strict(&[BATCHES])?;
            put_batch(&transaction, header, &batches[*index])?;
            idb::complete(&transaction).await?;
        }
        open.look_through(core, &mut taken.kept).await?;
    }
    let subject = taken.kept.subject;
    let mut stores = records::stores(&taken.changes);
    stores.extend([BATCHES, SYNC, DEVICE_STORE, SHARED]);
    let transaction = connection.strict(&stores)?;
    let plan = idb::carried_out(&transaction, async {
        for (header, index) in &taken.batches {
            put_batch(&transaction, header, &batches[*index])?;
        }
        put_row(&transaction, &kept::notebook_key(open.id), &taken.kept)?;
        if let (None, Some(subject)) = (open.kept.subject, subject) {
            share(&transaction, subject, (open.id, open.role(core)))?;
        }
        records::merge(&transaction, subject, &taken.changes).await
    })
    .await?;
    open.kept = taken.kept;
    if let Some(latest) = plan.latest {
        core.stamps.see(latest);
    }
    Ok(())
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
