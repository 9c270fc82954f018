//! The club: its list of notebooks, and what the phones of its coaches owe each
//! other. Every coach of the club gets into every notebook on the list; the owner
//! of each lets them in.

use super::beginning::begin;
use super::certificates::{certificate_keys, told_role};
use super::error::Error;
use super::kept::{self, Kept, Want};
use super::open::{Core, Open};
use super::wishes::want;
use crate::device::database::{Change, StorageError};
use crate::device::idb::{self, from_js, to_js};
use crate::device::log::SHARED;
use crate::device::subject::Subject;
use js_sys::{Array, Object};
use notebook::RecordId;
use notebook::sync::club::{Club, Listed, STORE};
use notebook::sync::{Certificate, NotebookId, Role};
use wasm_bindgen::prelude::*;

/// A notebook on its way to the list. Listed once; after that only its key changes.
struct Listing(Listed);

impl Change for Listing {
    fn store(&self) -> &'static str {
        STORE
    }

    fn key(&self) -> RecordId {
        self.0.head.id
    }

    fn merged(&self, stored: Option<&JsValue>) -> Result<JsValue, StorageError> {
        let Some(stored) = stored else {
            return to_js(&self.0);
        };
        let mut listed: Listed = from_js(stored, STORE)?;
        listed.key.merge(&self.0.key);
        let kept = Object::assign(&Object::new(), stored.unchecked_ref());
        Ok(Object::assign(&kept, to_js(&listed)?.unchecked_ref()).into())
    }
}

/// Does what is owed; says whether anything was done.
///
/// # Errors
/// What the browser says.
pub async fn duties(
    core: &Core,
    notebooks: &mut Vec<Open>,
    sheet: Option<&Want>,
) -> Result<bool, Error> {
    let is_club = |open: &&Open| open.kept.subject == Some(Subject::Club);
    let Some(club) = notebooks.iter().find(is_club) else {
        return Ok(false);
    };
    let (Ok(membership), Some(Role::Coach)) = (club.membership(), club.role(core)) else {
        return Ok(false);
    };
    let id = club.id;
    let coaches: Vec<Certificate> = membership
        .members()
        .filter(|member| member.role == Role::Coach && member.device != core.me())
        .copied()
        .collect();
    let membership = membership.clone();
    let mut did = begin_all(core, notebooks, sheet).await?;
    did |= list_own(core, notebooks, id).await?;
    did |= join_listed(core, notebooks).await?;
    for open in notebooks.iter_mut() {
        if !open.is_mine(core) || open.id == id {
            continue;
        }
        let present: Vec<Certificate> = open.membership()?.members().copied().collect();
        for coach in &coaches {
            if !present.iter().any(|member| member.device == coach.device) {
                let role = told_role(Role::Coach);
                let wanted = Want::Admit(certificate_keys(coach), role);
                did |= wanted_anew(core, open, wanted).await?;
            }
        }
        for member in present {
            let in_club = membership.device(member.device).is_some();
            let was = membership.ever(member.device).is_some();
            if was && !in_club && member.role == Role::Coach && member.device != core.me() {
                did |= wanted_anew(core, open, Want::TakeOff(member.device)).await?;
            }
        }
    }
    Ok(did)
}

async fn wanted_anew(core: &Core, open: &mut Open, wanted: Want) -> Result<bool, Error> {
    let anew = !open.kept.wants.contains(&wanted);
    want(core, open, wanted).await?;
    Ok(anew)
}

/// Begins a notebook for every hitter that has none.
async fn begin_all(
    core: &Core,
    notebooks: &mut Vec<Open>,
    sheet: Option<&Want>,
) -> Result<bool, Error> {
    let connection = core.database.connection();
    let transaction = connection.reading(&["hitters", SHARED])?;
    let keys = transaction.object_store("hitters")?.get_all_keys()?;
    let shared = transaction.object_store(SHARED)?.get_all_keys()?;
    let keys: Array = idb::answered(&keys).await?.unchecked_into();
    let shared: Array = idb::answered(&shared).await?.unchecked_into();
    let mut did = false;
    for key in keys.iter() {
        let Some(id) = key.as_string().and_then(|id| id.parse().ok()) else {
            continue;
        };
        if !shared.includes(&key, 0) {
            let begun = begin(core, Subject::Hitter(id), sheet.cloned()).await?;
            notebooks.push(begun);
            did = true;
        }
    }
    Ok(did)
}

async fn listed(core: &Core) -> Result<Vec<Listed>, Error> {
    let transaction = core.database.connection().reading(&[STORE])?;
    let found = transaction.object_store(STORE)?.get_all()?;
    let found: Array = idb::answered(&found).await?.unchecked_into();
    let readable = found.iter().filter_map(|one| from_js(&one, STORE).ok());
    Ok(readable.collect())
}

/// Lists the notebooks that this device owns, and their present keys by the club's
/// present one.
async fn list_own(core: &Core, notebooks: &[Open], club: NotebookId) -> Result<bool, Error> {
    let known = listed(core).await?;
    let Some(in_club) = notebooks.iter().find(|open| open.id == club) else {
        return Ok(false);
    };
    let epoch = in_club.membership()?.epoch();
    let keys = &in_club.keys;
    let list = Club {
        id: club,
        keys,
        epoch,
    };
    let mut did = false;
    for open in notebooks {
        let name = open.id.to_string();
        if open.id == club || !open.is_mine(core) {
            continue;
        }
        let of = open.membership()?.epoch();
        let present = format!("{epoch}.{of}.");
        let is_known = |one: &Listed| one.notebook == name && one.key.get().starts_with(&present);
        if known.iter().any(is_known) {
            continue;
        }
        let key = open.keys.get(of)?;
        let mut random = core.random.clone();
        let listed = list.list(open.id, of, key, &core.stamps, &mut random)?;
        core.database
            .write(&[&Listing(listed)], &core.stamps)
            .await?;
        did = true;
    }
    Ok(did)
}

/// Begins to join what others have listed.
async fn join_listed(core: &Core, notebooks: &mut Vec<Open>) -> Result<bool, Error> {
    let mut did = false;
    for one in listed(core).await? {
        let Ok(id) = one.notebook.parse::<NotebookId>() else {
            continue;
        };
        if one.head.is_removed() || notebooks.iter().any(|open| open.id == id) {
            continue;
        }
        let joining = Kept::default();
        kept::keep(core.database.connection(), id, &joining).await?;
        notebooks.push(Open::new(id, joining));
        did = true;
    }
    Ok(did)
}
