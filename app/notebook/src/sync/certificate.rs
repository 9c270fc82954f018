//! What a membership log says of a device: its keys and its role.

use super::wire::Reader;
use super::{Error, Hash};
use crate::DeviceId;
use ed25519_dalek::{Signature, VerifyingKey};
use std::fmt;

/// What a device may do in one notebook. Its owner, who alone changes the
/// membership, is one of its members and has a role like any other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(u8)]
pub enum Role {
    /// A coach: reads and writes.
    Coach = 1,
    /// A parent: reads and writes.
    Parent = 2,
    /// The player: reads and writes.
    Player = 3,
    /// Reads; what it writes is refused by everybody.
    ReadOnly = 4,
    /// The recovery sheet: no phone. Writes nothing, and may sign changes of
    /// membership as the owner may.
    Recovery = 5,
}

impl Role {
    /// Whether entries of this role count.
    #[must_use]
    pub const fn may_write(self) -> bool {
        matches!(self, Self::Coach | Self::Parent | Self::Player)
    }

    pub(crate) const fn read(byte: u8) -> Result<Self, Error> {
        Ok(match byte {
            1 => Self::Coach,
            2 => Self::Parent,
            3 => Self::Player,
            4 => Self::ReadOnly,
            5 => Self::Recovery,
            other => return Err(Error::UnknownRole(other)),
        })
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Coach => "coach",
            Self::Parent => "parent",
            Self::Player => "player",
            Self::ReadOnly => "read-only",
            Self::Recovery => "recovery sheet",
        })
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
        VerifyingKey::from_bytes(&self.signing)
            .map_err(|_| Error::BadKey)?
            .verify_strict(message, &Signature::from_bytes(signature))
            .map_err(|_| Error::Signature)
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
