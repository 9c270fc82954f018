//! Making entries of a membership log. Each is checked by the log's own rules
//! before it is handed out.

use super::{Change, Member, Membership};
use crate::DeviceId;
use crate::sync::sealing::draw;
use crate::sync::{
    Certificate, DeviceSecret, Error, Hash, Keys, NotebookId, NotebookKey, Role, Vector,
};
use rand_core::CryptoRng;

/// Begins a notebook that `secret`'s device owns in the role `role`: the log,
/// its first entry and the key of its first epoch.
///
/// # Errors
/// [`Error::NotOwner`] when the role may not write.
pub fn found(
    secret: &DeviceSecret,
    role: Role,
    rng: &mut impl CryptoRng,
) -> Result<(Membership, Vec<u8>, Keys), Error> {
    let change = Change::Found {
        salt: *draw(rng),
        owner: secret.certificate(role),
    };
    let unsigned = change.unsigned(NotebookId::default(), 0, Hash::NONE, secret.device());
    let entry = secret.sign_onto(unsigned);
    let membership = Membership::found(&entry)?;
    Ok((membership, entry, Keys::of_founder(NotebookKey::draw(rng))))
}

/// A new epoch: its entry and its key.
pub struct NewEpoch {
    /// The entry.
    pub entry: Vec<u8>,
    /// The key, for this device to keep.
    pub key: NotebookKey,
}

/// The owner, or the recovery sheet, at work.
pub struct Signing<'a> {
    /// The log as it stands.
    pub membership: &'a Membership,
    /// The keys of the owner or of the recovery sheet.
    pub secret: &'a DeviceSecret,
    /// The notebook's keys.
    pub keys: &'a Keys,
}

impl Signing<'_> {
    /// Lets a device in.
    ///
    /// # Errors
    /// When the log's rules forbid it, or the present key is not at hand.
    pub fn admit(&self, device: Certificate, rng: &mut impl CryptoRng) -> Result<Vec<u8>, Error> {
        let epoch = self.membership.epoch();
        let key = self.keys.get(epoch)?;
        let key = key.seal_to(&device, self.membership.id(), epoch, rng)?;
        self.sign(&Change::Admit { device, key })
    }

    /// Begins a new epoch with these members: takes the others off, and changes
    /// roles. `closed` is all that this device has, so that it counts.
    ///
    /// # Errors
    /// When the log's rules forbid it, or the present key is not at hand.
    pub fn new_epoch(
        &self,
        members: &[(DeviceId, Role)],
        closed: Vector,
        rng: &mut impl CryptoRng,
    ) -> Result<NewEpoch, Error> {
        let (notebook, epoch) = (self.membership.id(), self.membership.epoch() + 1);
        let key = NotebookKey::draw(rng);
        let mut sealed = Vec::new();
        for (device, role) in members {
            let member = self.membership.device(*device);
            let member = member.ok_or(Error::NotCertified(*device))?;
            sealed.push(Member {
                device: *device,
                role: *role,
                key: key.seal_to(member, notebook, epoch, rng)?,
            });
        }
        sealed.sort_by_key(|member| member.device);
        let previous = key.wrap_previous(self.keys.get(epoch - 1)?, notebook, epoch)?;
        let entry = self.sign(&Change::Rekey {
            members: sealed,
            previous,
            closed,
        })?;
        Ok(NewEpoch { entry, key })
    }

    /// Makes another member the owner.
    ///
    /// # Errors
    /// When the log's rules forbid it.
    pub fn hand_over(&self, to: DeviceId) -> Result<Vec<u8>, Error> {
        self.sign(&Change::HandOver { to })
    }

    fn sign(&self, change: &Change) -> Result<Vec<u8>, Error> {
        let log = self.membership;
        let unsigned = change.unsigned(log.id(), log.len(), log.head(), self.secret.device());
        let entry = self.secret.sign_onto(unsigned);
        log.clone().append(&entry)?;
        Ok(entry)
    }
}
