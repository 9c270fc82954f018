//! The notebook's keys, one an epoch, and how a device gets them.

use super::sealing::{self, BOX_BYTES, Key, TAG_BYTES, derive, draw};
use super::{Certificate, DeviceSecret, Error, Membership, NotebookId};
use crate::DeviceId;
use rand_core::CryptoRng;
use std::collections::BTreeMap;
use zeroize::Zeroizing;

/// A key sealed to one device.
pub type SealedKey = [u8; 32 + BOX_BYTES];
/// A key sealed with another one.
pub type WrappedKey = [u8; 32 + TAG_BYTES];

/// The random key of one epoch. Never used itself: what seals is derived from it.
#[derive(Clone)]
pub struct NotebookKey(Key);

impl NotebookKey {
    /// A new key.
    #[must_use]
    pub fn draw(rng: &mut impl CryptoRng) -> Self {
        Self(draw(rng))
    }

    /// The key with these bytes.
    #[must_use]
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    /// Its bytes, to be wrapped before they are stored.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The key for one use in one epoch of one notebook.
    pub(crate) fn for_use(&self, use_of: &[u8], notebook: NotebookId, epoch: u32) -> Key {
        let info = [b"stridebook ", use_of, b" ", &epoch.to_be_bytes()].concat();
        derive(self.0.as_ref(), notebook.as_bytes(), &info)
    }

    /// Sealed for one device.
    pub(crate) fn seal_to(
        &self,
        to: &Certificate,
        notebook: NotebookId,
        epoch: u32,
        rng: &mut impl CryptoRng,
    ) -> Result<SealedKey, Error> {
        let context = context(notebook, epoch, to.device);
        let sealed = sealing::seal_to(&to.receiving, &context, self.0.as_ref(), rng)?;
        sealed.try_into().map_err(|_| Error::Damaged)
    }

    /// The key of the epoch before, sealed with this one: who has the present
    /// key reads all that came before. The derived key seals nothing else, so
    /// the nonce may stand still.
    pub(crate) fn wrap_previous(
        &self,
        previous: &Self,
        notebook: NotebookId,
        epoch: u32,
    ) -> Result<WrappedKey, Error> {
        let key = self.for_use(b"key of the epoch before", notebook, epoch);
        sealing::seal(&key, &[0; 24], &[], previous.0.as_ref())
            .try_into()
            .map_err(|_| Error::Damaged)
    }

    fn unwrap_previous(
        &self,
        wrapped: &WrappedKey,
        notebook: NotebookId,
        epoch: u32,
    ) -> Result<Self, Error> {
        let key = self.for_use(b"key of the epoch before", notebook, epoch);
        Self::read(&sealing::open(&key, &[0; 24], &[], wrapped)?)
    }

    fn read(bytes: &[u8]) -> Result<Self, Error> {
        let bytes: &[u8; 32] = bytes.try_into().map_err(|_| Error::Damaged)?;
        Ok(Self::from_bytes(*bytes))
    }
}

/// What a sealed key is for.
fn context(notebook: NotebookId, epoch: u32, device: DeviceId) -> Vec<u8> {
    let mut context = b"SBK1".to_vec();
    context.extend(notebook.as_bytes());
    context.extend(epoch.to_be_bytes());
    context.extend(device.as_bytes());
    context
}

/// The keys that a device holds of one notebook.
#[derive(Clone, Default)]
pub struct Keys(BTreeMap<u32, NotebookKey>);

impl Keys {
    /// The keys of whoever begins a notebook.
    #[must_use]
    pub fn of_founder(first: NotebookKey) -> Self {
        Self(BTreeMap::from([(1, first)]))
    }

    /// The key of an epoch.
    ///
    /// # Errors
    /// [`Error::NoKey`] when this device does not hold it.
    pub fn get(&self, epoch: u32) -> Result<&NotebookKey, Error> {
        self.0.get(&epoch).ok_or(Error::NoKey(epoch))
    }

    /// Puts a key that was stored.
    pub fn put(&mut self, epoch: u32, key: NotebookKey) {
        self.0.insert(epoch, key);
    }

    /// All keys by epoch, to be wrapped and stored.
    pub fn iter(&self) -> impl Iterator<Item = (u32, &NotebookKey)> {
        self.0.iter().map(|(epoch, key)| (*epoch, key))
    }

    /// Takes every key that the membership log holds for this device: those
    /// sealed to it, and from each the one of the epoch before.
    ///
    /// # Errors
    /// When a key meant for this device does not open: the log's signer has
    /// sealed something else.
    pub fn learn(&mut self, membership: &Membership, secret: &DeviceSecret) -> Result<(), Error> {
        let notebook = membership.id();
        for epoch in (1..=membership.epoch()).rev() {
            if !self.0.contains_key(&epoch)
                && let Some(sealed) = membership.sealed_key(epoch, secret.device())
            {
                let opened = secret.open(&context(notebook, epoch, secret.device()), sealed)?;
                self.0.insert(epoch, NotebookKey::read(&opened)?);
            }
            if let (Some(key), Some(wrapped)) =
                (self.0.get(&epoch), membership.wrapped_previous(epoch))
                && !self.0.contains_key(&(epoch - 1))
            {
                let previous = key.unwrap_previous(wrapped, notebook, epoch)?;
                self.0.insert(epoch - 1, previous);
            }
        }
        Ok(())
    }
}
