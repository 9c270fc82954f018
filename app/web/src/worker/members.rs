//! The membership log on this phone: fetching it, bringing it back, taking it in.

use super::error::Error;
use super::exchange::Step;
use super::kept::{Kept, MEMBERSHIP, entry_key, notebook_key, put_bytes, put_row};
use super::open::{Core, Open};
use super::server::Request;
use super::take_in::share;
use super::vault::SYNC;
use crate::device::idb;
use crate::device::log::SHARED;
use notebook::sync::membership::Appended;
use notebook::sync::problem::Problem;
use notebook::sync::{Membership, NotebookId};

/// Fetches the entries from `from` on.
///
/// # Errors
/// When the relay does not answer, or what it gives does not follow.
pub async fn fetch(core: &Core, open: &mut Open, from: u32) -> Result<Step, Error> {
    let entries = entries_at_relay(core, open.id, from, &core.secret).await?;
    if entries.is_empty() {
        // It has gone back meanwhile: what we knew of it is wrong.
        return Err(Error::Silence);
    }
    take_entries(core, open, &entries).await?;
    Ok(Step::Did)
}

/// The entries that the relay has from `from` on, asked for by `signer`.
///
/// # Errors
/// As a request.
pub async fn entries_at_relay(
    core: &Core,
    id: NotebookId,
    from: u32,
    signer: &notebook::sync::DeviceSecret,
) -> Result<Vec<Vec<u8>>, Error> {
    let path = format!("/v1/notebooks/{id}/membership?from={from}");
    let request = Request::signed("GET", &path, &[], signer);
    frames(&core.server.ask(request).await?)
}

/// A row of frames: length, then that many bytes.
fn frames(mut bytes: &[u8]) -> Result<Vec<Vec<u8>>, Error> {
    let mut frames = Vec::new();
    while let Some((length, rest)) = bytes.split_first_chunk() {
        let length = usize::try_from(u32::from_be_bytes(*length)).unwrap_or(usize::MAX);
        let frame = rest.split_at_checked(length);
        let (frame, rest) = frame.ok_or(notebook::sync::Error::Cut)?;
        frames.push(frame.to_vec());
        bytes = rest;
    }
    if bytes.is_empty() {
        Ok(frames)
    } else {
        Err(notebook::sync::Error::Cut.into())
    }
}

/// Takes in membership entries, from the relay or a file, with the keys they bring.
///
/// # Errors
/// When one does not follow; then nothing has changed.
pub async fn take_entries<E: AsRef<[u8]>>(
    core: &Core,
    open: &mut Open,
    entries: &[E],
) -> Result<(), Error> {
    let mut membership = open.membership.clone();
    let mut fresh = Vec::new();
    for entry in entries {
        let entry = entry.as_ref();
        match &mut membership {
            None => {
                let found = Membership::found(entry)?;
                if found.id() != open.id {
                    return Err(notebook::sync::Error::WrongNotebook.into());
                }
                membership = Some(found);
                fresh.push(entry.to_vec());
            }
            Some(membership) => {
                if membership.append(entry)? == Appended::New {
                    fresh.push(entry.to_vec());
                }
            }
        }
    }
    let membership = membership.ok_or(Error::Joining)?;
    let mut keys = open.keys.clone();
    keys.learn(&membership, &core.secret)?;
    let mut next = open.kept.clone();
    next.keys = open.sealed_keys(core, &keys).await?;
    next.off = membership.device(core.me()).is_none();
    next.anew &= next.off;
    // Taken, or overtaken by another entry with its number.
    let is_open = next
        .proposed
        .as_ref()
        .is_some_and(|(entry, _)| membership.clone().append(&entry.0) == Ok(Appended::New));
    if !is_open {
        next.proposed = None;
    }
    let before = open.membership.as_ref().map_or(0, Membership::len);
    let epoch_before = open.membership.as_ref().map_or(1, Membership::epoch);
    let epoch = membership.epoch();
    let put_back = open.membership.replace(membership);
    open.keys = keys;
    let stored = async {
        if epoch != epoch_before {
            open.look_through(core, &mut next).await?;
        }
        store_entries(core, open, before, &fresh, &next).await
    }
    .await;
    if let Err(error) = stored {
        open.membership = put_back;
        return Err(error);
    }
    open.kept = next;
    open.entries.extend(fresh);
    Ok(())
}

async fn store_entries(
    core: &Core,
    open: &Open,
    before: u32,
    fresh: &[Vec<u8>],
    next: &Kept,
) -> Result<(), Error> {
    let id = open.id;
    let stores = [MEMBERSHIP, SYNC, SHARED];
    let transaction = core.database.connection().strict(&stores)?;
    idb::carried_out(&transaction, async {
        let store = transaction.object_store(MEMBERSHIP)?;
        for (number, entry) in (before..).zip(fresh) {
            put_bytes(&store, &entry_key(id, number), entry)?;
        }
        if let Some(subject) = next.subject {
            // The role may be another one now.
            share(&transaction, subject, (id, open.role(core)))?;
        }
        put_row(&transaction, &notebook_key(id), next)
    })
    .await?;
    Ok(())
}

/// Brings the first entry to a relay that does not know the notebook.
///
/// # Errors
/// As a request.
pub async fn found_at_relay(core: &Core, open: &Open) -> Result<(), Error> {
    let first = open.entries.first().ok_or(Error::Joining)?;
    let request = Request::open("POST", "/v1/notebooks", first);
    core.server.ask(request).await.map(|_| ())
}

/// Brings an entry that the log has had before.
///
/// # Errors
/// As a request.
pub async fn push(core: &Core, open: &mut Open, number: u32) -> Result<Step, Error> {
    let entry = usize::try_from(number)
        .ok()
        .and_then(|index| open.entries.get(index));
    let entry = entry.ok_or(notebook::sync::Error::MembershipGap { next: number })?;
    post_entry(core, open.id, entry, true).await?;
    open.there.took_membership(number);
    Ok(Step::Did)
}

/// Brings an entry; `again` where the relay may have had it before.
///
/// # Errors
/// As a request.
pub async fn post_entry(
    core: &Core,
    id: NotebookId,
    entry: &[u8],
    again: bool,
) -> Result<(), Error> {
    let path = format!("/v1/notebooks/{id}/membership?again={again}");
    let request = Request::open("POST", &path, entry);
    core.server.ask(request).await.map(|_| ())
}

/// Brings this phone's own entry. Once it may have arrived it is brought again, the
/// same bytes, until it is known to be taken or overtaken; a refusal of the very
/// first sending takes it back, and it is made anew once in step.
///
/// # Errors
/// As a request.
pub async fn propose(core: &Core, open: &mut Open) -> Result<Step, Error> {
    let Some((entry, sent)) = open.kept.proposed.clone() else {
        return Ok(Step::Did);
    };
    if !sent {
        let mut next = open.kept.clone();
        next.proposed = Some((entry.clone(), true));
        open.keep(core, next).await?;
    }
    match post_entry(core, open.id, &entry.0, sent).await {
        Ok(()) => {
            open.there.took_membership(open.membership()?.len());
            take_entries(core, open, &[entry.0]).await?;
            Ok(Step::Did)
        }
        Err(error @ Error::Refused { .. }) if !sent => {
            let mut next = open.kept.clone();
            next.proposed = None;
            open.keep(core, next).await?;
            // Somebody wrote meanwhile: read, and make another.
            if error.problem() == Some(Problem::NotInStep) {
                open.there.forget();
                return Ok(Step::Did);
            }
            Err(error)
        }
        Err(error) => Err(error),
    }
}
