//! What a membership log says of a device: its keys and its role.

use super::wire::Reader;
use super::{Error, Hash, Role};
use crate::DeviceId;
use ed25519_dalek::{Signature, VerifyingKey};

/// The key that checks what a device has signed, taken apart once: that is a tenth
/// of the work of checking a signature.
#[derive(Debug, Clone)]
pub(crate) struct SigningKey(VerifyingKey);

impl SigningKey {
    pub(crate) fn of(certificate: &Certificate) -> Result<Self, Error> {
        let key = VerifyingKey::from_bytes(&certificate.signing);
        key.map(Self).map_err(|_| Error::BadKey)
    }

    pub(crate) fn verify(&self, message: &[u8], signature: &[u8; 64]) -> Result<(), Error> {
        self.0
            .verify_strict(message, &Signature::from_bytes(signature))
            .map_err(|_| Error::Signature)
    }
}

/// A device, its public keys and its role.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Certificate {
    /// Which device.
    pub device: DeviceId,
    /// Ed25519 public key (RFC 8032): what it signs is checked with this.
    pub signing: [u8; 32],
    /// X25519 public key (RFC 7748): keys are sealed to this.
    pub receiving: [u8; 32],
    /// What it may do.
    pub role: Role,
}

impl Certificate {
    /// Checks that the device has signed `message`.
    ///
    /// # Errors
    /// [`Error::Signature`] when it has not.
    pub fn verify(&self, message: &[u8], signature: &[u8; 64]) -> Result<(), Error> {
        SigningKey::of(self)?.verify(message, signature)
    }

    /// The hash of its identity and keys, not of its role: what two people
    /// compare before one lets the other in.
    #[must_use]
    pub fn fingerprint(&self) -> Hash {
        Hash::of_parts(&[
            b"SBF1",
            self.device.as_bytes(),
            &self.signing,
            &self.receiving,
        ])
    }

    /// Whether the keys are keys at all.
    pub(crate) fn check_keys(&self) -> Result<(), Error> {
        let key = VerifyingKey::from_bytes(&self.signing).map_err(|_| Error::BadKey)?;
        if key.is_weak() || self.receiving == [0; 32] {
            return Err(Error::BadKey);
        }
        Ok(())
    }

    pub(crate) fn same_keys(&self, other: &Self) -> bool {
        self.signing == other.signing && self.receiving == other.receiving
    }

    pub(crate) fn put(&self, into: &mut Vec<u8>) {
        into.extend(self.device.as_bytes());
        into.extend(self.signing);
        into.extend(self.receiving);
        into.push(self.role as u8);
    }

    pub(crate) fn take(reader: &mut Reader) -> Result<Self, Error> {
        Ok(Self {
            device: DeviceId::from_bytes(reader.array()?),
            signing: reader.array()?,
            receiving: reader.array()?,
            role: Role::read(reader.u8()?)?,
        })
    }
}
