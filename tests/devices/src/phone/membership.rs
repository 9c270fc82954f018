//! The membership log on one phone: fetching it, bringing it back, and the
//! owner's own entries.

use super::{Link, Phone, Step};
use crate::chance::Chance;
use crate::store::Crash;
use notebook::DeviceId;
use notebook::sync::membership::{Appended, Signing};
use notebook::sync::{Certificate, Error, Membership, Role};

/// What the owner wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entering {
    /// Let a device in.
    Admit(Certificate),
    /// Take a device off, with a new epoch.
    TakeOff(DeviceId),
    /// Give a member another role, with a new epoch.
    Change(DeviceId, Role),
    /// Make another member the owner.
    HandOver(DeviceId),
}

impl Phone {
    /// Prepares an entry of this phone, the owner's: stored before it is sent,
    /// so that it is never made twice with different content.
    ///
    /// # Errors
    /// [`Crash`]; inside, why there can be no such entry.
    pub fn propose_entry(
        &mut self,
        entering: Entering,
        chance: &mut Chance,
    ) -> Result<Result<(), Error>, Crash> {
        if self.store.rows().proposed.is_some() {
            return Ok(Ok(()));
        }
        match self.make_entry(entering, chance) {
            Ok(entry) => self.store.transact(chance, |rows| {
                rows.proposed = Some((entry, false));
                Ok(())
            }),
            Err(error) => Ok(Err(error)),
        }
    }

    fn make_entry(&self, entering: Entering, chance: &mut Chance) -> Result<Vec<u8>, Error> {
        let rows = self.store.rows();
        let signing = Signing {
            membership: &self.membership,
            secret: &self.secret,
            keys: &rows.keys,
        };
        let members = self.membership.members();
        let roles = members.map(|member| (member.device, member.role));
        let roles: Vec<(DeviceId, Role)> = match entering {
            Entering::Admit(certificate) => return signing.admit(certificate, chance),
            Entering::HandOver(to) => return signing.hand_over(to),
            Entering::TakeOff(off) => roles.filter(|(device, _)| *device != off).collect(),
            Entering::Change(of, role) => roles
                .map(|(device, before)| (device, if device == of { role } else { before }))
                .collect(),
        };
        let epoch = signing.new_epoch(&roles, rows.vector.clone(), chance)?;
        Ok(epoch.entry)
    }

    /// Brings the prepared entry. Once it may have arrived it is brought again
    /// until it is known to be taken or overtaken; a refusal of the very first
    /// sending takes it back.
    pub(super) fn propose(&mut self, link: &mut Link, chance: &mut Chance) -> Result<Step, Crash> {
        let Some((entry, sent)) = self.store.rows().proposed.clone() else {
            return Ok(Step::Did);
        };
        if !sent {
            self.store.transact(chance, |rows| {
                rows.proposed = Some((entry.clone(), true));
            })?;
        }
        // A repeat of the first sending is no second attempt.
        match link.send(chance, |relay| relay.put_entry(&entry, sent)) {
            None => Ok(Step::Silence),
            Some(Ok(())) => {
                self.there.took_membership(self.membership.len());
                self.take_entries(&[entry], chance)
            }
            Some(Err(problem)) => {
                if !sent {
                    self.store.transact(chance, |rows| rows.proposed = None)?;
                }
                Ok(Step::Refused(refused(problem)))
            }
        }
    }

    pub(super) fn fetch_membership(
        &mut self,
        from: u32,
        link: &mut Link,
        chance: &mut Chance,
    ) -> Result<Step, Crash> {
        match link.send(chance, |relay| relay.membership_from(from)) {
            None => Ok(Step::Silence),
            // It has gone back meanwhile: what we knew of it is wrong.
            Some(entries) if entries.is_empty() => Ok(Step::Silence),
            Some(entries) => self.take_entries(&entries, chance),
        }
    }

    /// Takes in membership entries, from the relay or a file.
    ///
    /// # Errors
    /// [`Crash`] when the power fails meanwhile.
    pub fn take_entries<E: AsRef<[u8]>>(
        &mut self,
        entries: &[E],
        chance: &mut Chance,
    ) -> Result<Step, Crash> {
        let mut membership: Membership = self.membership.clone();
        let mut fresh = Vec::new();
        for entry in entries {
            match membership.append(entry.as_ref()) {
                Ok(Appended::New) => fresh.push(entry.as_ref().to_vec()),
                Ok(Appended::Known) => {}
                Err(error) => return Ok(Step::Refused(error)),
            }
        }
        let mut keys = self.store.rows().keys.clone();
        if let Err(error) = keys.learn(&membership, &self.secret) {
            return Ok(Step::Refused(error));
        }
        self.store.transact(chance, |rows| {
            rows.membership.extend(fresh);
            rows.keys = keys;
            // Taken, or overtaken by another entry with its number.
            let open = rows
                .proposed
                .as_ref()
                .is_some_and(|(entry, _)| membership.clone().append(entry) == Ok(Appended::New));
            if !open {
                rows.proposed = None;
            }
        })?;
        self.membership = membership;
        Ok(Step::Did)
    }

    pub(super) fn push_membership(
        &mut self,
        number: u32,
        link: &mut Link,
        chance: &mut Chance,
    ) -> Step {
        let index = usize::try_from(number).unwrap_or(usize::MAX);
        let Some(entry) = self.store.rows().membership.get(index).cloned() else {
            return Step::Refused(Error::MembershipGap { next: number });
        };
        match link.send(chance, |relay| relay.put_entry(&entry, true)) {
            None => Step::Silence,
            Some(Ok(())) => {
                self.there.took_membership(number);
                Step::Did
            }
            Some(Err(problem)) => Step::Refused(refused(problem)),
        }
    }
}

/// A refusal by the relay, as far as these phones tell them apart.
const fn refused(_: notebook::sync::problem::Problem) -> Error {
    Error::MembershipFork { number: 0 }
}
