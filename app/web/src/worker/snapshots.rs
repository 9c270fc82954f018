//! Snapshots on this phone: taking the relay's, and making one.

use super::error::Error;
use super::exchange::Step;
use super::kept::{self, BATCHES, put_row};
use super::open::{Core, Open};
use super::records;
use super::server::Request;
use super::take_in::{entries, share};
use super::vault::SYNC;
use crate::device::database::DEVICE_STORE;
use crate::device::idb::{self, from_js};
use crate::device::log::SHARED;
use crate::device::subject::{Subject, stores_of};
use notebook::Change;
use notebook::sync::batch::Sealed;
use notebook::sync::problem::Problem;
use notebook::sync::snapshot::{self, Manifest, Snapshot};
use notebook::sync::{Hash, Vector};
use std::collections::BTreeMap;
use web_sys::IdbKeyRange;

/// The owner makes a snapshot when so many entries have come since the last one.
const EVERY: u32 = 5_000;
/// How many records are read at once.
const PIECE: u32 = 1_000;

/// Whether it is time for the owner to make one.
pub fn is_due(open: &Open) -> bool {
    entries(&open.kept) >= open.kept.in_snapshot + EVERY && open.kept.filling.is_none()
}

/// Takes the relay's snapshot.
///
/// # Errors
/// When it does not fit, or the relay does not answer.
pub async fn take(core: &Core, open: &mut Open) -> Result<Step, Error> {
    let base = format!("/v1/notebooks/{}/snapshot", open.id);
    let request = Request::signed("GET", &base, &[], &core.secret);
    let manifest = core.server.ask(request).await?;
    let listed = Manifest::read(&manifest)?;
    listed.check(open.membership()?)?;
    let mut parts = Vec::new();
    for hash in &listed.parts {
        parts.push(part(core, open, &base, *hash).await?);
    }
    apply(core, open, &Snapshot { manifest, parts }).await?;
    open.there.applied_snapshot();
    Ok(Step::Changed)
}

/// A part of the relay's snapshot. What came before the connection broke, or the phone
/// died, is kept and not fetched again.
async fn part(core: &Core, open: &Open, base: &str, hash: Hash) -> Result<Vec<u8>, Error> {
    let connection = core.database.connection();
    let key = format!("{}{hash}", parts_key(open));
    if let Some(part) = kept::bytes_at(connection, SYNC, &key).await?
        && Hash::of(&part) == hash
    {
        return Ok(part);
    }
    let path = format!("{base}/parts/{hash}");
    let request = Request::signed("GET", &path, &[], &core.secret);
    let part = core.server.ask(request).await?;
    let transaction = connection.strict(&[SYNC])?;
    kept::put_bytes(&transaction.object_store(SYNC)?, &key, &part)?;
    idb::complete(&transaction).await?;
    Ok(part)
}

fn parts_key(open: &Open) -> String {
    format!("part/{}/", open.id)
}

/// Applies a snapshot from the relay or a file. All of it is checked and opened
/// before any of it is stored. Its records are merged piece by piece, so that a page
/// need not wait; the vector goes with the last piece, so a snapshot that was cut
/// short is taken again, and merging twice changes nothing.
///
/// # Errors
/// When it does not fit; then nothing has changed.
pub async fn apply(core: &Core, open: &mut Open, snapshot: &Snapshot) -> Result<(), Error> {
    let connection = core.database.connection();
    let manifest = Manifest::read(&snapshot.manifest)?;
    manifest.check(open.membership()?)?;
    let hashes = hashes_at(core, open, &manifest.vector).await?;
    manifest.fits(core.me(), &open.kept.vector, |author, last| {
        hashes.get(&(author, last)).copied()
    })?;
    let mut changes = Vec::new();
    for (index, part) in (0..).zip(&snapshot.parts) {
        changes.extend(manifest.open_part(index, part, &open.keys)?);
    }
    let mut next = open.kept.clone();
    if next.subject.is_none() {
        // The owner signed it: its word is good.
        next.subject = changes.iter().find_map(records::subject);
    }
    let subject = next.subject;
    changes.retain(|change| {
        let of = records::subject(change);
        of.is_none() || of == subject
    });
    let mut gone = Vec::new();
    for (author, point) in manifest.vector.iter() {
        if next.vector.last(author) < point.last {
            next.vector.set(author, point);
            next.removed.set(author, point);
            if next.hand_on.last(author) < point.last {
                next.hand_on.set(author, point);
            }
            let from = kept::batch_key(open.id, author, 0);
            gone.push((from, kept::batch_key(open.id, author, point.last)));
        }
    }
    next.in_snapshot = entries(&next);
    while changes.len() > PIECE as usize {
        let piece = changes.drain(..PIECE as usize).collect();
        merge_piece(core, subject, piece).await?;
        if let Some((done, _)) = &mut open.catching_up {
            *done += PIECE;
        }
    }
    let mut stores = records::stores(&changes);
    stores.extend([BATCHES, SYNC, DEVICE_STORE, SHARED]);
    let transaction = connection.strict(&stores)?;
    let latest = idb::carried_out(&transaction, async {
        let batches = transaction.object_store(BATCHES)?;
        for (from, to) in &gone {
            let range = IdbKeyRange::bound(&from.as_str().into(), &to.as_str().into())?;
            batches.delete(&range)?;
        }
        let parts = kept::beginning(&parts_key(open))?;
        transaction.object_store(SYNC)?.delete(&parts)?;
        put_row(&transaction, &kept::notebook_key(open.id), &next)?;
        if let (None, Some(subject)) = (open.kept.subject, subject) {
            share(&transaction, subject, (open.id, open.role(core)))?;
        }
        records::merge(&transaction, subject, changes).await
    })
    .await?;
    open.kept = next;
    if let Some(latest) = latest {
        core.stamps.see(latest);
    }
    Ok(())
}

async fn merge_piece(
    core: &Core,
    subject: Option<Subject>,
    changes: Vec<Change>,
) -> Result<(), Error> {
    let mut stores = records::stores(&changes);
    stores.push(DEVICE_STORE);
    let transaction = core.database.connection().strict(&stores)?;
    let merged = records::merge(&transaction, subject, changes);
    let latest = idb::carried_out(&transaction, merged).await?;
    if let Some(latest) = latest {
        core.stamps.see(latest);
    }
    Ok(())
}

/// The hashes of stored batches that end where the vector's points are.
async fn hashes_at(
    core: &Core,
    open: &Open,
    vector: &Vector,
) -> Result<BTreeMap<(notebook::DeviceId, u32), Hash>, Error> {
    let connection = core.database.connection();
    let mut hashes = BTreeMap::new();
    for (author, point) in vector.iter() {
        let stored = kept::batch_with(connection, open.id, author, point.last).await?;
        let Some(stored) = stored else { continue };
        let header = Sealed::read(&stored)?.header;
        if header.last == point.last {
            hashes.insert((author, point.last), header.content);
        }
    }
    Ok(hashes)
}

/// Makes a snapshot of all that is stored and brings it to the relay.
///
/// # Errors
/// [`Error::NotMine`], or as a request.
pub async fn make(core: &Core, open: &mut Open) -> Result<Step, Error> {
    let vector = open.kept.vector.clone();
    let snapshot = of_all(core, open).await?;
    let base = format!("/v1/notebooks/{}/snapshot", open.id);
    for part in &snapshot.parts {
        let path = format!("{base}/parts/{}", Hash::of(part));
        let request = Request::signed("PUT", &path, part, &core.secret);
        core.server.ask(request).await?;
    }
    let request = Request::open("PUT", &base, &snapshot.manifest);
    match core.server.ask(request).await {
        // A newer one is there: as good.
        Err(error) if error.problem() == Some(Problem::SnapshotOlder) => {}
        answered => drop(answered?),
    }
    open.there.took_snapshot_of(&vector);
    let mut next = open.kept.clone();
    next.in_snapshot = entries(&next);
    open.keep(core, next).await?;
    Ok(Step::Did)
}

/// A snapshot of all that is stored.
///
/// # Errors
/// When this device does not own the notebook, or what the browser says.
pub async fn of_all(core: &Core, open: &Open) -> Result<Snapshot, Error> {
    let membership = open.membership()?;
    let mut all = Vec::new();
    if let Some(subject) = open.kept.subject {
        for store in stores_of(subject) {
            let mut after = String::new();
            loop {
                let transaction = core.database.connection().reading(&[store])?;
                let (found, last) =
                    records::piece(&transaction, subject, store, &after, PIECE).await?;
                let count = found.len();
                for (store, record) in found {
                    let record = from_js(&record, "records")?;
                    all.push(Change { store, record });
                }
                if count < PIECE as usize {
                    break;
                }
                after = last;
            }
        }
    }
    let vector = &open.kept.vector;
    let mut random = core.random.clone();
    Ok(snapshot::make(
        &core.secret,
        membership,
        &open.keys,
        vector,
        all,
        &mut random,
    )?)
}
