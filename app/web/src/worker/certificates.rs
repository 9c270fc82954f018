//! Keys of devices as they are kept, and roles as pages name them.

use super::error::Error;
use super::hex::Hex;
use crate::device::sync_messages as told;
use notebook::DeviceId;
use notebook::sync::{Certificate, Role};

/// Keeps a certificate without its role.
pub fn certificate_keys(certificate: &Certificate) -> Hex {
    let mut bytes = certificate.device.as_bytes().to_vec();
    bytes.extend(certificate.signing);
    bytes.extend(certificate.receiving);
    Hex(bytes)
}

/// The certificate with these keys.
///
/// # Errors
/// When they are not as long as they should be.
pub fn certificate(keys: &Hex, role: Role) -> Result<Certificate, Error> {
    let read = || {
        let (device, rest) = keys.0.split_first_chunk()?;
        let (signing, receiving) = rest.split_first_chunk()?;
        Some(Certificate {
            device: DeviceId::from_bytes(*device),
            signing: *signing,
            receiving: receiving.try_into().ok()?,
            role,
        })
    };
    read().ok_or_else(|| notebook::sync::Error::Cut.into())
}

/// The role that a page names.
pub const fn role_of(role: told::Role) -> Role {
    match role {
        told::Role::Coach => Role::Coach,
        told::Role::Parent => Role::Parent,
        told::Role::Player => Role::Player,
        told::Role::ReadOnly => Role::ReadOnly,
        told::Role::RecoverySheet => Role::Recovery,
    }
}

/// The role as a page names it.
pub const fn told_role(role: Role) -> told::Role {
    match role {
        Role::Coach => told::Role::Coach,
        Role::Parent => told::Role::Parent,
        Role::Player => told::Role::Player,
        Role::ReadOnly => told::Role::ReadOnly,
        Role::Recovery => told::Role::RecoverySheet,
    }
}
