//! What the membership log allows: which change may follow, and which batches
//! count.

use super::{Change, Member, Membership};
use crate::sync::batch::{Header, Sealed};
use crate::sync::{Error, Role, Vector};

/// Most members of one epoch, the recovery sheet included.
pub const MAX_MEMBERS: usize = 64;

impl Membership {
    /// Whether a change is allowed where the log stands.
    pub(super) fn check(&self, change: &Change) -> Result<(), Error> {
        match change {
            Change::Found { .. } => Err(Error::MembershipFork { number: 0 }),
            Change::Admit { device, .. } => {
                device.check_keys()?;
                if self.device(device.device).is_some() {
                    return Err(Error::AlreadyMember(device.device));
                }
                let before = self.devices.get(&device.device);
                if before.is_some_and(|before| !before.same_keys(device)) {
                    return Err(Error::OtherKeys(device.device));
                }
                if self.present().roles.len() >= MAX_MEMBERS {
                    return Err(Error::TooManyMembers(MAX_MEMBERS));
                }
                Ok(())
            }
            Change::Rekey {
                members, closed, ..
            } => self.check_new_epoch(members, closed),
            Change::HandOver { to } => {
                let role = self.role(*to, self.epoch());
                let role = role.ok_or(Error::NotCertified(*to))?;
                if role.may_write() {
                    Ok(())
                } else {
                    Err(Error::RoleForbids { device: *to, role })
                }
            }
        }
    }

    fn check_new_epoch(&self, members: &[Member], closed: &Vector) -> Result<(), Error> {
        for member in members {
            let role = self.role(member.device, self.epoch());
            let role = role.ok_or(Error::NotCertified(member.device))?;
            if (role == Role::Recovery) != (member.role == Role::Recovery) {
                return Err(Error::MembersOfEpoch);
            }
        }
        let stays = |member: &Member| member.device == self.owner() && member.role.may_write();
        if !members.iter().any(stays) {
            return Err(Error::MembersOfEpoch);
        }
        if let Some((author, _)) = closed
            .iter()
            .find(|(author, _)| !self.devices.contains_key(author))
        {
            return Err(Error::NotCertified(author));
        }
        let before = self
            .epochs
            .iter()
            .rev()
            .find_map(|epoch| epoch.closed.as_ref());
        if before.is_some_and(|before| !closed.covers(before)) {
            return Err(Error::ClosedGoesBack);
        }
        Ok(())
    }

    /// Checks a batch as far as that goes without a key: the right notebook, a
    /// certified author whose role in that epoch may write, an epoch that is
    /// the present one or has closed over it, and the signature.
    ///
    /// # Errors
    /// The first of these that does not hold.
    pub fn check_batch(&self, sealed: &Sealed) -> Result<(), Error> {
        let header = &sealed.header;
        if header.notebook != self.id {
            return Err(Error::WrongNotebook);
        }
        let signing = self.signing.get(&header.device);
        let signing = signing.ok_or(Error::NotCertified(header.device))?;
        if header.epoch == 0 || header.epoch > self.epoch() {
            return Err(Error::UnknownEpoch {
                epoch: header.epoch,
                present: self.epoch(),
            });
        }
        let role = self.role(header.device, header.epoch);
        let role = role.ok_or(Error::NotCertified(header.device))?;
        if !role.may_write() {
            return Err(Error::RoleForbids {
                device: header.device,
                role,
            });
        }
        signing.verify(sealed.signed, sealed.signature)?;
        self.check_counts(header)
    }

    /// Whether a batch's epoch is the present one or has closed over it.
    #[must_use]
    pub fn counts(&self, header: &Header) -> bool {
        self.check_counts(header).is_ok()
    }

    fn check_counts(&self, header: &Header) -> Result<(), Error> {
        let Some(closed) = self.closed(header.epoch) else {
            return Ok(());
        };
        match closed.get(header.device) {
            Some(point) if point.last == header.last && point.hash != header.content => {
                Err(Error::Clash {
                    device: header.device,
                    number: header.last,
                })
            }
            Some(point) if point.last >= header.last => Ok(()),
            _ if self.role(header.device, self.epoch()).is_none() => {
                Err(Error::NotCertified(header.device))
            }
            _ => Err(Error::StaleEpoch {
                epoch: header.epoch,
                present: self.epoch(),
            }),
        }
    }
}
