//! A notebook in the worker's memory, and what every part of the worker shares.

use super::browser::{Random, now_ms};
use super::error::Error;
use super::exchange::Answer;
use super::hex::Hex;
use super::kept::{self, Kept, MEMBERSHIP};
use super::server::Server;
use super::vault::Vault;
use crate::device::database::Database;
use notebook::sync::batch::{Header, Sealed};
use notebook::sync::exchange::{Here, There};
use notebook::sync::log::{Afterwards, Device};
use notebook::sync::membership::Signing;
use notebook::sync::{DeviceSecret, Keys, Membership, NotebookId, NotebookKey, Role};
use notebook::{DeviceId, StampClock};
use std::rc::Rc;

/// What every part needs.
pub struct Core {
    /// The open database.
    pub database: Database,
    /// Gives stamps to what the worker writes itself.
    pub stamps: StampClock,
    /// The relay.
    pub server: Rc<Server>,
    /// Seals keys at rest.
    pub vault: Vault,
    /// This device's keys; only here in memory.
    pub secret: DeviceSecret,
    /// Random numbers.
    pub random: Random,
}

impl Core {
    /// This device.
    pub const fn me(&self) -> DeviceId {
        self.secret.device()
    }
}

/// A notebook.
pub struct Open {
    /// Which.
    pub id: NotebookId,
    /// Its row as stored.
    pub kept: Kept,
    /// The membership log's entries as stored.
    pub entries: Vec<Vec<u8>>,
    /// The log; `None` until this phone was let in.
    pub membership: Option<Membership>,
    /// The keys; only here in memory.
    pub keys: Keys,
    /// What is known of the relay.
    pub there: There,
    /// An answer that was asked for while the one before it was stored.
    pub ahead: Option<Answer>,
    /// Whether writes wait to be sealed.
    pub unsealed: u32,
    /// How many entries a catch-up began with, and how many were wanted.
    pub catching_up: Option<(u32, u32)>,
    /// Since when it is in memory, in milliseconds since 1970.
    pub since_ms: f64,
    /// When to look for news, in milliseconds since 1970; 0: at once.
    pub look_ms: f64,
    /// What is wrong with it, for the user.
    pub trouble: Option<String>,
    /// Another phone uses this phone's identity.
    pub clash: bool,
}

impl Open {
    /// A notebook of which nothing is here but its row.
    pub fn new(id: NotebookId, kept: Kept) -> Self {
        Self {
            id,
            kept,
            entries: Vec::new(),
            membership: None,
            keys: Keys::default(),
            there: There::default(),
            ahead: None,
            unsealed: 0,
            catching_up: None,
            since_ms: now_ms(),
            look_ms: 0.0,
            trouble: None,
            clash: false,
        }
    }

    /// The stored notebook: its log is replayed and its keys are opened.
    ///
    /// # Errors
    /// When what is stored cannot be read.
    pub async fn load(core: &Core, id: NotebookId, kept: Kept) -> Result<Self, Error> {
        let connection = core.database.connection();
        let mut open = Self::new(id, kept);
        open.entries = kept::all_bytes(connection, MEMBERSHIP, &format!("{id}/")).await?;
        if !open.entries.is_empty() {
            open.membership = Some(Membership::replay(id, &open.entries)?);
        }
        for (epoch, sealed) in &open.kept.keys {
            let key = core
                .vault
                .open_secret(&key_name(id, *epoch), sealed)
                .await?;
            let key: [u8; 32] = key.try_into().map_err(|_| notebook::sync::Error::Damaged)?;
            open.keys.put(*epoch, NotebookKey::from_bytes(key));
        }
        Ok(open)
    }

    /// The membership log.
    ///
    /// # Errors
    /// [`Error::Joining`] before this phone was let in.
    pub fn membership(&self) -> Result<&Membership, Error> {
        self.membership.as_ref().ok_or(Error::Joining)
    }

    /// This device at work on its log.
    ///
    /// # Errors
    /// [`Error::Joining`].
    pub fn device<'a>(&'a self, core: &'a Core) -> Result<Device<'a>, Error> {
        Ok(Device {
            secret: &core.secret,
            membership: self.membership()?,
            keys: &self.keys,
        })
    }

    /// The owner at work.
    ///
    /// # Errors
    /// [`Error::NotMine`], [`Error::Joining`].
    pub fn signing<'a>(&'a self, core: &'a Core) -> Result<Signing<'a>, Error> {
        if !self.is_mine(core) {
            return Err(Error::NotMine);
        }
        Ok(Signing {
            membership: self.membership()?,
            secret: &core.secret,
            keys: &self.keys,
        })
    }

    /// Whether this phone waits to be let in.
    pub const fn is_joining(&self) -> bool {
        self.membership.is_none() || self.kept.anew
    }

    /// Whether this device owns it.
    pub fn is_mine(&self, core: &Core) -> bool {
        let membership = self.membership.as_ref();
        membership.is_some_and(|membership| membership.owner() == core.me())
    }

    /// What this device may do; `None` when it is no member.
    pub fn role(&self, core: &Core) -> Option<Role> {
        let membership = self.membership.as_ref()?;
        membership.role(core.me(), membership.epoch())
    }

    /// What the exchange decides by.
    ///
    /// # Errors
    /// [`Error::Joining`].
    pub fn here(&self, core: &Core) -> Result<Here, Error> {
        let kept = &self.kept;
        let writes = self.role(core).is_some_and(Role::may_write);
        Ok(Here {
            me: core.me(),
            members: self.membership()?.len(),
            vector: kept.vector.clone(),
            hand_on: kept.hand_on.clone(),
            removed: kept.removed.clone(),
            proposed: kept.proposed.is_some(),
            waiting: self.unsealed > 0 && writes,
            unsettled: !kept.unsettled.is_empty(),
            owner: self.is_mine(core),
            acknowledged: kept.acknowledged.clone(),
        })
    }

    /// Changes of this phone that the relay has not got, those of members included.
    pub fn waiting(&self, core: &Core) -> u32 {
        let sealed = self.kept.vector.last(core.me());
        let members = u32::try_from(self.kept.wants.len()).unwrap_or_default();
        self.unsealed + sealed.saturating_sub(self.kept.confirmed) + members
    }

    /// Puts into `kept` what the stored batches say after the membership log has
    /// gone on: what can be handed on, and what is to be settled.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn look_through(&self, core: &Core, kept: &mut Kept) -> Result<(), Error> {
        let device = self.device(core)?;
        let connection = core.database.connection();
        let batches = kept::all_bytes(connection, kept::BATCHES, &format!("{}/", self.id)).await?;
        kept.hand_on = kept.removed.clone();
        kept.unsettled.clear();
        for bytes in &batches {
            let Ok(Sealed { header, .. }) = Sealed::read(bytes) else {
                continue;
            };
            hand_on(kept, &header, device.membership.counts(&header));
            let at = (header.device, header.first);
            match device.after_new_epoch(&header) {
                Afterwards::Stands => {}
                Afterwards::Adopt if kept.adopted.contains(&at) => {}
                Afterwards::Adopt | Afterwards::Reseal => kept.unsettled.push(at),
            }
        }
        Ok(())
    }

    /// The keys sealed by the vault, those that are sealed already as they are.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn sealed_keys(&self, core: &Core, keys: &Keys) -> Result<Vec<(u32, Hex)>, Error> {
        let mut sealed = self.kept.keys.clone();
        for (epoch, key) in keys.iter() {
            if !sealed.iter().any(|(known, _)| *known == epoch) {
                let name = key_name(self.id, epoch);
                sealed.push((epoch, core.vault.seal(&name, key.as_bytes()).await?));
            }
        }
        Ok(sealed)
    }

    /// Keeps another row, in a transaction of its own.
    ///
    /// # Errors
    /// What the browser says; then the row is as before.
    pub async fn keep(&mut self, core: &Core, kept: Kept) -> Result<(), Error> {
        kept::keep(core.database.connection(), self.id, &kept).await?;
        self.kept = kept;
        Ok(())
    }
}

/// Notes that the batch with this header can be handed on, if it follows.
pub fn hand_on(kept: &mut Kept, header: &Header, counts: bool) {
    if counts && header.first == kept.hand_on.last(header.device) + 1 {
        kept.hand_on.set(header.device, header.point());
    }
}

fn key_name(id: NotebookId, epoch: u32) -> String {
    format!("key/{id}/{epoch}")
}
