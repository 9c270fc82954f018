//! A device's own secret keys.

use super::sealing::{self, draw};
use super::{Certificate, Error, Role};
use crate::DeviceId;
use ed25519_dalek::{Signer, SigningKey};
use rand_core::CryptoRng;
use x25519_dalek::{PublicKey, StaticSecret};
use zeroize::Zeroizing;

/// The secret keys of one installation of the app. Wiped from memory when
/// dropped. A copy of a phone must not go on with them: restoring or importing
/// draws new ones with a new device id.
pub struct DeviceSecret {
    device: DeviceId,
    signing: SigningKey,
    receiving: StaticSecret,
}

impl DeviceSecret {
    /// New keys for `device`.
    #[must_use]
    pub fn draw(device: DeviceId, rng: &mut impl CryptoRng) -> Self {
        Self::from_bytes(device, &draw(rng))
    }

    /// The keys with these bytes: signing, then receiving.
    #[must_use]
    pub fn from_bytes(device: DeviceId, bytes: &[u8; 64]) -> Self {
        let mut half = Zeroizing::new([0; 32]);
        half.copy_from_slice(&bytes[..32]);
        let signing = SigningKey::from_bytes(&half);
        half.copy_from_slice(&bytes[32..]);
        Self {
            device,
            signing,
            receiving: StaticSecret::from(*half),
        }
    }

    /// Their bytes, to be wrapped before they are stored.
    #[must_use]
    pub fn to_bytes(&self) -> Zeroizing<[u8; 64]> {
        let mut bytes = Zeroizing::new([0; 64]);
        bytes[..32].copy_from_slice(self.signing.as_bytes());
        bytes[32..].copy_from_slice(self.receiving.as_bytes());
        bytes
    }

    /// Whose keys these are.
    #[must_use]
    pub const fn device(&self) -> DeviceId {
        self.device
    }

    /// The public keys, with the role that is asked for or given.
    #[must_use]
    pub fn certificate(&self, role: Role) -> Certificate {
        Certificate {
            device: self.device,
            signing: self.signing.verifying_key().to_bytes(),
            receiving: PublicKey::from(&self.receiving).to_bytes(),
            role,
        }
    }

    /// The signature over `message`.
    #[must_use]
    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.signing.sign(message).to_bytes()
    }

    /// Appends the signature over all of `message` to it.
    pub(crate) fn sign_onto(&self, mut message: Vec<u8>) -> Vec<u8> {
        let signature = self.sign(&message);
        message.extend(signature);
        message
    }

    /// Opens what was sealed to this device.
    ///
    /// # Errors
    /// [`Error::Damaged`] when it was sealed to another or for another use.
    pub fn open(&self, context: &[u8], sealed: &[u8]) -> Result<Zeroizing<Vec<u8>>, Error> {
        sealing::open_box(&self.receiving, context, sealed)
    }
}
