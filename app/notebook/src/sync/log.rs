//! A device's own log: sealing what was written, and taking in what others
//! wrote. Numbers are given when a write is stored (in its transaction), bounds
//! of batches when they are sealed; both stand from then on.

use super::batch::{self, Header, Held, NextBatch, Place, Sealed};
use super::sealing::draw;
use super::{DeviceSecret, Error, Keys, Membership, Point, Role, Vector};
use crate::{Change, DeviceId};
use rand_core::CryptoRng;

/// A batch is closed once its content is this long: small enough for a bad
/// connection, large enough that its header does not count.
const BATCH_CONTENT_BYTES: usize = 64 * 1024;
/// Random bytes before the content, so that its hash tells nothing of it.
const SALT_BYTES: usize = 16;

/// A JSON list of changes that grows.
#[derive(Default)]
pub(super) struct List {
    text: Vec<u8>,
}

impl List {
    pub(super) const fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// Length of the list in bytes with one more change.
    pub(super) const fn len_with(&self, change: &[u8]) -> usize {
        self.text.len() + change.len() + 2
    }

    pub(super) fn push(&mut self, change: &[u8]) {
        self.text.push(if self.is_empty() { b'[' } else { b',' });
        self.text.extend(change);
    }

    pub(super) fn finish(mut self) -> Vec<u8> {
        if self.is_empty() {
            self.text.push(b'[');
        }
        self.text.push(b']');
        self.text
    }
}

/// A change as JSON of at most `limit` bytes.
pub(super) fn write_change(change: &Change, limit: usize) -> Result<Vec<u8>, Error> {
    let text = serde_json::to_vec(change).map_err(|error| Error::Unreadable(error.to_string()))?;
    if text.len() > limit {
        return Err(Error::RecordTooLarge { limit });
    }
    Ok(text)
}

/// The changes in an opened list. Each must be a record.
pub(super) fn read_changes(content: &[u8]) -> Result<Vec<Change>, Error> {
    let changes: Vec<Change> =
        serde_json::from_slice(content).map_err(|error| Error::Unreadable(error.to_string()))?;
    if changes.iter().any(|change| change.id().is_none()) {
        return Err(Error::Unreadable("a record has no id".to_owned()));
    }
    Ok(changes)
}

/// Refuses a change that could never be sent, before it is confirmed.
///
/// # Errors
/// [`Error::RecordTooLarge`].
pub fn check_size(change: &Change) -> Result<(), Error> {
    write_change(change, batch::MAX_CONTENT_BYTES - SALT_BYTES - 2).map(|_| ())
}

/// A device at work on one notebook.
pub struct Device<'a> {
    /// Its secret keys.
    pub secret: &'a DeviceSecret,
    /// The notebook's membership log.
    pub membership: &'a Membership,
    /// The notebook's keys that it holds.
    pub keys: &'a Keys,
}

/// A new batch of this device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewBatch {
    /// Its header.
    pub header: Header,
    /// Its bytes, to be stored in the transaction that removes the entries up to
    /// `header.last` from those not sealed yet, if the device's point still is
    /// the one it was sealed after.
    pub bytes: Vec<u8>,
}

/// A batch of another device that fits.
#[derive(Debug, Clone, PartialEq)]
pub struct Received {
    /// Its header.
    pub header: Header,
    /// Whether its changes are new, or its bytes take the place of stored ones.
    pub place: Place,
    /// What to merge; empty unless `place` is [`Place::Next`].
    pub changes: Vec<Change>,
}

impl Device<'_> {
    /// Seals the first of the waiting entries, in order of their numbers, as
    /// many as fit: the entries right after `tip`, this device's point. `None`
    /// when none waits.
    ///
    /// # Errors
    /// When this device may not write, or the present key is not at hand.
    pub fn seal(
        &self,
        tip: Option<Point>,
        waiting: &[Change],
        rng: &mut impl CryptoRng,
    ) -> Result<Option<NewBatch>, Error> {
        if waiting.is_empty() {
            return Ok(None);
        }
        self.check_may_write()?;
        let limit = batch::MAX_CONTENT_BYTES - SALT_BYTES - 2;
        let mut list = List::default();
        let mut last = tip.map_or(0, |tip| tip.last);
        for change in waiting {
            let text = write_change(change, limit)?;
            if list.len_with(&text) > BATCH_CONTENT_BYTES && !list.is_empty() {
                break;
            }
            list.push(&text);
            last += 1;
        }
        let mut content = draw::<SALT_BYTES>(rng).to_vec();
        content.extend(list.finish());
        let next = NextBatch {
            notebook: self.membership.id(),
            epoch: self.membership.epoch(),
            tip,
            last,
        };
        let (header, bytes) = batch::seal(self.secret, self.keys, &next, &content, rng)?;
        Ok(Some(NewBatch { header, bytes }))
    }

    fn check_may_write(&self) -> Result<(), Error> {
        let device = self.secret.device();
        let role = self.membership.role(device, self.membership.epoch());
        match role.ok_or(Error::NotCertified(device))? {
            role if role.may_write() => Ok(()),
            role => Err(Error::RoleForbids { device, role }),
        }
    }

    /// Takes in a batch of whatever source. `tip` is the author's point here,
    /// `held` the stored batch that begins at the same entry, if any. The
    /// returned changes, the bytes and the new point belong in one transaction.
    ///
    /// # Errors
    /// When anything is not as it should be; nothing is to be applied then.
    pub fn receive(
        &self,
        bytes: &[u8],
        tip: Option<Point>,
        held: Option<Held>,
    ) -> Result<Received, Error> {
        let sealed = Sealed::read(bytes)?;
        self.membership.check_batch(&sealed)?;
        let header = sealed.header;
        let place = batch::place(&header, tip, held)?;
        if header.device == self.secret.device() && place == Place::Next {
            // Entries of mine that I have not written: another phone uses this
            // identity, or this phone's store has gone back.
            return Err(Error::Clash {
                device: header.device,
                number: header.first,
            });
        }
        let mut changes = Vec::new();
        if place != Place::Known {
            changes = self.open(&sealed)?;
        }
        if place == Place::Resealed {
            changes.clear();
        }
        Ok(Received {
            header,
            place,
            changes,
        })
    }

    /// The changes in a batch that has been checked, or is stored here.
    ///
    /// # Errors
    /// When it does not open, or is not as many entries as its header says.
    pub fn open(&self, sealed: &Sealed) -> Result<Vec<Change>, Error> {
        let content = sealed.open(self.keys)?;
        let text = content.get(SALT_BYTES..).ok_or(Error::Cut)?;
        let changes = read_changes(text)?;
        let Header { first, last, .. } = sealed.header;
        if u32::try_from(changes.len()) != Ok(last - first + 1) {
            return Err(Error::Range { first, last });
        }
        Ok(changes)
    }

    /// What is to be done with a stored batch after the membership log has
    /// gone on.
    #[must_use]
    pub fn after_new_epoch(&self, header: &Header) -> Afterwards {
        let me = self.secret.device();
        if self.membership.counts(header) {
            return Afterwards::Stands;
        }
        let role = |device| self.membership.role(device, self.membership.epoch());
        let writes = |device| role(device).is_some_and(Role::may_write);
        if header.device == me && writes(me) {
            Afterwards::Reseal
        } else if header.device != me && !writes(header.device) && writes(me) {
            Afterwards::Adopt
        } else {
            Afterwards::Stands
        }
    }

    /// Seals a stored batch of this device for the present epoch.
    ///
    /// # Errors
    /// When it is not this device's own, or a key is not at hand.
    pub fn reseal(&self, bytes: &[u8], rng: &mut impl CryptoRng) -> Result<Vec<u8>, Error> {
        batch::reseal(self.secret, self.keys, bytes, self.membership.epoch(), rng)
    }
}

/// What becomes of a stored batch after a new epoch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Afterwards {
    /// Nothing: it counts as it is, or is not this device's business.
    Stands,
    /// It is this device's own and did not count yet: it is sealed again.
    Reseal,
    /// Its author can no longer write, it came by another way than the relay,
    /// and this device has applied it: its changes go into this device's own
    /// log, or the others would never have them.
    Adopt,
}

/// The changes in one's own batches that the relay has not confirmed, to be
/// written again under a new identity after a clash, together with those that are
/// not sealed yet: restoring or importing makes a new device. `batches` are the
/// stored ones, `confirmed` is the last vector of the relay before the clash.
///
/// # Errors
/// When a stored batch does not open.
pub fn unconfirmed<'b>(
    device: &Device,
    old: DeviceId,
    confirmed: &Vector,
    batches: impl IntoIterator<Item = &'b [u8]>,
) -> Result<Vec<Change>, Error> {
    let mut changes = Vec::new();
    for bytes in batches {
        let sealed = Sealed::read(bytes)?;
        let header = sealed.header;
        if header.device == old && header.last > confirmed.last(old) {
            changes.extend(device.open(&sealed)?);
        }
    }
    Ok(changes)
}
