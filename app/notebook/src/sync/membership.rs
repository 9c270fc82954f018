//! The membership log of a notebook: who may read and write it, in which role,
//! in which epoch, and who owns it. Signed by the owner; checked by everybody,
//! the relay too, without any key.

mod entry;
mod rules;
mod sign;

pub use entry::{Change, Entry, MAX_BYTES, Member};
pub use rules::MAX_MEMBERS;
pub use sign::{NewEpoch, Signing, found};

use super::certificate::SigningKey;
use super::keys::{SealedKey, WrappedKey};
use super::{Certificate, Error, Hash, NotebookId, Role, Vector};
use crate::DeviceId;
use std::collections::BTreeMap;

/// Whether an entry was new.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Appended {
    /// It was, and now stands at the end.
    New,
    /// It stood there already.
    Known,
}

/// One epoch: who belongs to it.
#[derive(Debug, Clone, Default)]
struct Epoch {
    roles: BTreeMap<DeviceId, Role>,
    keys: BTreeMap<DeviceId, SealedKey>,
    previous: Option<WrappedKey>,
    /// What counts of this epoch and those before, known once it has ended.
    closed: Option<Vector>,
}

/// A membership log that has been checked from its first entry on.
#[derive(Debug, Clone)]
pub struct Membership {
    id: NotebookId,
    hashes: Vec<Hash>,
    /// The owner since the entry with that number.
    owners: Vec<(u32, DeviceId)>,
    /// Every device that ever was a member; the role is its last one.
    devices: BTreeMap<DeviceId, Certificate>,
    /// Their keys, ready to check signatures.
    signing: BTreeMap<DeviceId, SigningKey>,
    epochs: Vec<Epoch>,
}

impl Membership {
    /// The log that begins with this entry.
    ///
    /// # Errors
    /// When it is no first entry, or not signed by the owner it names.
    pub fn found(bytes: &[u8]) -> Result<Self, Error> {
        let entry = Entry::read(bytes)?;
        let Change::Found { owner, .. } = &entry.change else {
            return Err(Error::MembershipGap { next: 0 });
        };
        owner.check_keys()?;
        if owner.device != entry.signer || !owner.role.may_write() {
            return Err(Error::NotOwner(entry.signer));
        }
        owner.verify(entry.signed, entry.signature)?;
        let hash = Hash::of(bytes);
        Ok(Self {
            id: NotebookId::from_bytes(*hash.as_bytes()),
            hashes: vec![hash],
            owners: vec![(0, owner.device)],
            devices: BTreeMap::from([(owner.device, *owner)]),
            signing: BTreeMap::from([(owner.device, SigningKey::of(owner)?)]),
            epochs: vec![Epoch {
                roles: BTreeMap::from([(owner.device, owner.role)]),
                ..Epoch::default()
            }],
        })
    }

    /// The log of the notebook `id` with these entries, from the first one on.
    ///
    /// # Errors
    /// When one of them does not follow from those before, or the first one is
    /// not that notebook's.
    pub fn replay(
        id: NotebookId,
        entries: impl IntoIterator<Item = impl AsRef<[u8]>>,
    ) -> Result<Self, Error> {
        let mut entries = entries.into_iter();
        let first = entries.next().ok_or(Error::MembershipGap { next: 0 })?;
        let mut membership = Self::found(first.as_ref())?;
        if membership.id != id {
            return Err(Error::WrongNotebook);
        }
        for entry in entries {
            membership.append(entry.as_ref())?;
        }
        Ok(membership)
    }

    /// Takes in one entry.
    ///
    /// # Errors
    /// When it does not follow from the log; then nothing has changed.
    pub fn append(&mut self, bytes: &[u8]) -> Result<Appended, Error> {
        let entry = Entry::read(bytes)?;
        let fork = Error::MembershipFork {
            number: entry.number,
        };
        if entry.number < self.len() {
            let index = usize::try_from(entry.number).map_err(|_| Error::Cut)?;
            let known = self.hashes.get(index) == Some(&Hash::of(bytes));
            return if known {
                Ok(Appended::Known)
            } else {
                Err(fork)
            };
        }
        if entry.number > self.len() {
            return Err(Error::MembershipGap { next: self.len() });
        }
        if entry.notebook != self.id {
            return Err(Error::WrongNotebook);
        }
        if entry.before != self.head() {
            return Err(fork);
        }
        let signer = self.device(entry.signer);
        let signer = signer.ok_or(Error::NotCertified(entry.signer))?;
        if entry.signer != self.owner() && signer.role != Role::Recovery {
            return Err(Error::NotOwner(entry.signer));
        }
        signer.verify(entry.signed, entry.signature)?;
        self.check(&entry.change)?;
        self.take_in(entry.number, entry.change);
        self.hashes.push(Hash::of(bytes));
        Ok(Appended::New)
    }

    fn take_in(&mut self, number: u32, change: Change) {
        match change {
            Change::Found { .. } => {}
            Change::Admit { device, key } => {
                if let Some(epoch) = self.epochs.last_mut() {
                    epoch.roles.insert(device.device, device.role);
                    epoch.keys.insert(device.device, key);
                }
                if let Ok(key) = SigningKey::of(&device) {
                    self.signing.insert(device.device, key);
                }
                self.devices.insert(device.device, device);
            }
            Change::Rekey {
                members,
                previous,
                closed,
            } => {
                if let Some(epoch) = self.epochs.last_mut() {
                    epoch.closed = Some(closed);
                }
                for member in &members {
                    if let Some(device) = self.devices.get_mut(&member.device) {
                        device.role = member.role;
                    }
                }
                self.epochs.push(Epoch {
                    roles: members.iter().map(|m| (m.device, m.role)).collect(),
                    keys: members.iter().map(|m| (m.device, m.key)).collect(),
                    previous: Some(previous),
                    closed: None,
                });
            }
            Change::HandOver { to } => self.owners.push((number, to)),
        }
    }

    /// Which notebook.
    #[must_use]
    pub const fn id(&self) -> NotebookId {
        self.id
    }

    /// How many entries the log has.
    #[must_use]
    pub fn len(&self) -> u32 {
        u32::try_from(self.hashes.len()).unwrap_or(u32::MAX)
    }

    /// Never: a log has a first entry.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.hashes.is_empty()
    }

    /// Hash of the last entry.
    #[must_use]
    pub fn head(&self) -> Hash {
        self.hashes.last().copied().unwrap_or(Hash::NONE)
    }

    /// Hash of the entry with that number.
    #[must_use]
    pub fn hash(&self, number: u32) -> Option<Hash> {
        self.hashes.get(usize::try_from(number).ok()?).copied()
    }

    /// The present epoch, from 1.
    #[must_use]
    pub fn epoch(&self) -> u32 {
        u32::try_from(self.epochs.len()).unwrap_or(u32::MAX)
    }

    /// Who owns the notebook now.
    #[must_use]
    pub fn owner(&self) -> DeviceId {
        self.owner_at(self.len()).unwrap_or(self.owners[0].1)
    }

    /// Who owned it when the log had `length` entries.
    #[must_use]
    pub fn owner_at(&self, length: u32) -> Option<DeviceId> {
        let known = (1..=self.len()).contains(&length);
        let owners = self.owners.iter().rev();
        known
            .then(|| owners.clone().find(|(since, _)| *since < length))?
            .map(|(_, owner)| *owner)
    }

    /// A device that is a member now.
    #[must_use]
    pub fn device(&self, device: DeviceId) -> Option<&Certificate> {
        self.role(device, self.epoch())?;
        self.devices.get(&device)
    }

    /// A device that is or was a member.
    #[must_use]
    pub fn ever(&self, device: DeviceId) -> Option<&Certificate> {
        self.devices.get(&device)
    }

    /// The members of the present epoch, the recovery sheet included, in order
    /// of device.
    pub fn members(&self) -> impl Iterator<Item = &Certificate> {
        let present = self.present().roles.keys();
        present.filter_map(|device| self.devices.get(device))
    }

    /// The role of a device in an epoch; `None` when it was no member then.
    #[must_use]
    pub fn role(&self, device: DeviceId, epoch: u32) -> Option<Role> {
        self.at(epoch)?.roles.get(&device).copied()
    }

    /// What counts of an epoch that has ended, and of those before.
    #[must_use]
    pub fn closed(&self, epoch: u32) -> Option<&Vector> {
        self.at(epoch)?.closed.as_ref()
    }

    pub(crate) fn sealed_key(&self, epoch: u32, device: DeviceId) -> Option<&SealedKey> {
        self.at(epoch)?.keys.get(&device)
    }

    pub(crate) fn wrapped_previous(&self, epoch: u32) -> Option<&WrappedKey> {
        self.at(epoch)?.previous.as_ref()
    }

    fn at(&self, epoch: u32) -> Option<&Epoch> {
        self.epochs
            .get(usize::try_from(epoch).ok()?.checked_sub(1)?)
    }

    fn present(&self) -> &Epoch {
        &self.epochs[self.epochs.len() - 1]
    }
}
