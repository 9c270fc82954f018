//! Sealed files: a notebook on its way from phone to phone without a relay.

use super::error::Error;
use super::kept::{self, BATCHES};
use super::members::take_entries;
use super::open::{Core, Open};
use super::passes::enter;
use super::snapshots;
use super::take_in::{entries, take_in};
use notebook::sync::NotebookId;
use notebook::sync::file::{self, Message};
use notebook::sync::snapshot::Snapshot;

/// How many batches are taken in at once.
const AT_ONCE: usize = 8;

/// All of a notebook in a file.
///
/// # Errors
/// [`Error::NotWhole`], or what the browser says.
pub async fn write(core: &Core, open: &Open) -> Result<Vec<u8>, Error> {
    let connection = core.database.connection();
    let mut messages = open.entries.clone();
    if !open.kept.removed.is_empty() {
        if !open.is_mine(core) {
            return Err(Error::NotWhole);
        }
        let snapshot = snapshots::of_all(core, open).await?;
        messages.push(snapshot.manifest);
        messages.extend(snapshot.parts);
    }
    messages.extend(kept::all_bytes(connection, BATCHES, &format!("{}/", open.id)).await?);
    Ok(file::write(open.id, messages.iter().map(Vec::as_slice)))
}

/// Which notebook a file carries.
///
/// # Errors
/// When it is no such file, or not whole.
pub fn notebook_in(bytes: &[u8]) -> Result<NotebookId, Error> {
    Ok(file::read(bytes)?.0)
}

/// Takes in a file; how many entries were new.
///
/// # Errors
/// The first thing in it that was refused; what stood before it is kept.
pub async fn read(core: &Core, open: &mut Open, bytes: &[u8]) -> Result<u32, Error> {
    let (_, messages) = file::read(bytes)?;
    let before = entries(&open.kept);
    let mut members = Vec::new();
    let mut snapshot: Option<Snapshot> = None;
    let mut batches = Vec::new();
    for message in messages {
        match message {
            Message::Membership(bytes) => members.push(bytes),
            Message::Snapshot(bytes) => {
                snapshot = Some(Snapshot {
                    manifest: bytes.to_vec(),
                    parts: Vec::new(),
                });
            }
            Message::SnapshotPart(bytes) => {
                if let Some(snapshot) = &mut snapshot {
                    snapshot.parts.push(bytes.to_vec());
                }
            }
            Message::Batch(bytes) => batches.push(bytes.to_vec()),
        }
    }
    if open.membership.is_none() {
        enter(core, open, &members).await?;
    } else {
        take_entries(core, open, &members).await?;
    }
    if let Some(snapshot) = snapshot {
        snapshots::apply(core, open, &snapshot).await?;
    }
    for some in in_order(open, batches)?.chunks(AT_ONCE) {
        take_in(core, open, some).await?;
    }
    Ok(entries(&open.kept).saturating_sub(before))
}

/// The batches of whoever began the notebook first: they say whose it is.
fn in_order(open: &Open, mut batches: Vec<Vec<u8>>) -> Result<Vec<Vec<u8>>, Error> {
    let founder = open.membership()?.owner_at(1);
    batches.sort_by_key(|bytes| {
        let sealed = notebook::sync::batch::Sealed::read(bytes);
        sealed.map_or(true, |sealed| Some(sealed.header.device) != founder)
    });
    Ok(batches)
}
