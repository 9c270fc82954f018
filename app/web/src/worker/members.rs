//! The membership log on this phone: fetching it, bringing it back, and what the
//! owner enters into it.

use super::error::Error;
use super::exchange::Step;
use super::hex::Hex;
use super::kept::{self, Kept, MEMBERSHIP, Want, entry_key, notebook_key, put_bytes, put_row};
use super::open::{Core, Open};
use super::server::Request;
use super::vault::SYNC;
use crate::device::idb;
use crate::device::sync_messages as told;
use notebook::DeviceId;
use notebook::sync::membership::{Appended, Signing};
use notebook::sync::problem::Problem;
use notebook::sync::{Certificate, Membership, NotebookId, Role};

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
        store_entries(core, open.id, before, &fresh, &next).await
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
    id: NotebookId,
    before: u32,
    fresh: &[Vec<u8>],
    next: &Kept,
) -> Result<(), Error> {
    let transaction = core.database.connection().strict(&[MEMBERSHIP, SYNC])?;
    idb::carried_out(&transaction, async {
        let store = transaction.object_store(MEMBERSHIP)?;
        for (number, entry) in (before..).zip(fresh) {
            put_bytes(&store, &entry_key(id, number), entry)?;
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

/// Makes the next wanted change of membership into an entry on its way. Says
/// whether there is something to do.
///
/// # Errors
/// What the browser says.
pub async fn make_wanted(core: &Core, open: &mut Open) -> Result<bool, Error> {
    let Some(want) = open.kept.wants.first().cloned() else {
        return Ok(false);
    };
    let made = match open.signing(core) {
        Ok(signing) => make(&signing, open, &want, core),
        Err(error) => Err(error),
    };
    let mut next = open.kept.clone();
    match made {
        Ok(Some(entry)) => next.proposed = Some((Hex(entry), false)),
        // Done already, perhaps by this very entry.
        Ok(None) => drop(next.wants.remove(0)),
        Err(error) => {
            open.trouble = Some(error.to_string());
            next.wants.remove(0);
        }
    }
    open.keep(core, next).await?;
    Ok(true)
}

fn make(
    signing: &Signing<'_>,
    open: &Open,
    want: &Want,
    core: &Core,
) -> Result<Option<Vec<u8>>, Error> {
    let membership = signing.membership;
    let mut random = core.random.clone();
    let roles = membership
        .members()
        .map(|member| (member.device, member.role));
    let roles: Vec<(DeviceId, Role)> = match want {
        Want::Admit(keys, role) => {
            let certificate = certificate(keys, role_of(*role))?;
            if membership.device(certificate.device).is_some() {
                return Ok(None);
            }
            return Ok(Some(signing.admit(certificate, &mut random)?));
        }
        Want::HandOver(to) if membership.owner() == *to => return Ok(None),
        Want::HandOver(to) => return Ok(Some(signing.hand_over(*to)?)),
        Want::TakeOff(off) if membership.device(*off).is_none() => return Ok(None),
        Want::TakeOff(off) => roles.filter(|(device, _)| device != off).collect(),
        Want::Change(of, role) => {
            let role = role_of(*role);
            if membership
                .device(*of)
                .is_none_or(|member| member.role == role)
            {
                return Ok(None);
            }
            roles
                .map(|(device, before)| (device, if device == *of { role } else { before }))
                .collect()
        }
    };
    let closed = open.kept.vector.clone();
    Ok(Some(signing.new_epoch(&roles, closed, &mut random)?.entry))
}

/// Notes a wanted change of membership.
///
/// # Errors
/// [`Error::NotMine`], or what the browser says.
pub async fn want(core: &Core, open: &mut Open, want: Want) -> Result<(), Error> {
    open.signing(core)?;
    if open.kept.wants.contains(&want) {
        return Ok(());
    }
    let mut next = open.kept.clone();
    next.wants.push(want);
    open.keep(core, next).await
}

/// Enters a device at once, without the relay: for two phones with no network. The
/// relay is brought the entry later. Only for letting in, which leaves nothing out.
///
/// # Errors
/// [`Error::NotMine`], or when the log's rules forbid it.
pub async fn admit_now(core: &Core, open: &mut Open, want: &Want) -> Result<(), Error> {
    let made = make(&open.signing(core)?, open, want, core)?;
    match made {
        Some(entry) if open.kept.proposed.is_none() => take_entries(core, open, &[entry]).await,
        // Another entry has this one's number already.
        Some(_) => Err(notebook::sync::Error::MembershipGap {
            next: open.membership()?.len(),
        }
        .into()),
        None => Ok(()),
    }
}

/// Keeps a certificate without its role.
pub fn certificate_keys(certificate: &Certificate) -> Hex {
    let mut bytes = certificate.device.as_bytes().to_vec();
    bytes.extend(certificate.signing);
    bytes.extend(certificate.receiving);
    Hex(bytes)
}

/// The certificate with these keys.
///
/// # Errors
/// When they are not as long as they should be.
pub fn certificate(keys: &Hex, role: Role) -> Result<Certificate, Error> {
    let read = || {
        let (device, rest) = keys.0.split_first_chunk()?;
        let (signing, receiving) = rest.split_first_chunk()?;
        Some(Certificate {
            device: DeviceId::from_bytes(*device),
            signing: *signing,
            receiving: receiving.try_into().ok()?,
            role,
        })
    };
    read().ok_or_else(|| notebook::sync::Error::Cut.into())
}

/// The role that a page names.
pub const fn role_of(role: told::Role) -> Role {
    match role {
        told::Role::Coach => Role::Coach,
        told::Role::Parent => Role::Parent,
        told::Role::Player => Role::Player,
        told::Role::ReadOnly => Role::ReadOnly,
        told::Role::RecoverySheet => Role::Recovery,
    }
}

/// The role as a page names it.
pub const fn told_role(role: Role) -> told::Role {
    match role {
        Role::Coach => told::Role::Coach,
        Role::Parent => told::Role::Parent,
        Role::Player => told::Role::Player,
        Role::ReadOnly => told::Role::ReadOnly,
        Role::Recovery => told::Role::RecoverySheet,
    }
}

/// A notebook begun on this phone, not yet at the relay. `first` are the records
/// that stand at the beginning of its log.
///
/// # Errors
/// What the browser says.
pub async fn begin(
    core: &Core,
    subject: crate::device::subject::Subject,
    sheet: Option<Want>,
) -> Result<Open, Error> {
    use super::records::{piece, stores_of};
    use crate::device::log::{self, LOG, SHARED};
    let (membership, entry, keys) =
        notebook::sync::membership::found(&core.secret, Role::Coach, &mut core.random.clone())?;
    let mut open = Open::new(membership.id(), Kept::default());
    let next = Kept {
        subject: Some(subject),
        keys: open.sealed_keys(core, &keys).await?,
        filling: Some(kept::Filled::default()),
        wants: sheet.into_iter().collect(),
        ..Kept::default()
    };
    let of = wasm_bindgen::JsValue::from_str(&subject.to_string());
    let first = stores_of(subject)[0];
    let stores = [first, MEMBERSHIP, SYNC, LOG, SHARED];
    let transaction = core.database.connection().strict(&stores)?;
    let begun = async {
        let entries = transaction.object_store(MEMBERSHIP)?;
        put_bytes(&entries, &entry_key(open.id, 0), &entry)?;
        put_row(&transaction, &notebook_key(open.id), &next)?;
        super::take_in::share(&transaction, subject, &open)?;
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
