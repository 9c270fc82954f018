//! A device's signed word that it has stored entries. What all members have
//! acknowledged may be removed behind a snapshot.

use super::wire::{Reader, at_most};
use super::{DeviceSecret, Error, Membership, NotebookId, Vector};
use crate::DeviceId;

/// Most bytes of an acknowledgement.
pub const MAX_BYTES: usize = 8 * 1024;

const LETTERS: [u8; 4] = *b"SBA1";

/// An acknowledgement that has been read, not yet checked. Of one device a
/// later one covers the earlier ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acknowledgement<'a> {
    /// Which notebook.
    pub notebook: NotebookId,
    /// Who gives it.
    pub device: DeviceId,
    /// All that it has stored.
    pub vector: Vector,
    signed: &'a [u8],
    signature: &'a [u8; 64],
}

impl<'a> Acknowledgement<'a> {
    /// The acknowledgement with these bytes.
    ///
    /// # Errors
    /// When they are not those of one.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Error> {
        at_most(bytes, MAX_BYTES)?;
        let mut reader = Reader::message(bytes, LETTERS, "an acknowledgement")?;
        let notebook = NotebookId::from_bytes(reader.array()?);
        let device = DeviceId::from_bytes(reader.array()?);
        let vector = Vector::take(&mut reader)?;
        let (signed, signature) = bytes.split_last_chunk().ok_or(Error::Cut)?;
        reader.bytes(signature.len())?;
        reader.end()?;
        Ok(Self {
            notebook,
            device,
            vector,
            signed,
            signature,
        })
    }

    /// Checks notebook, membership and signature.
    ///
    /// # Errors
    /// The first of these that does not hold.
    pub fn check(&self, membership: &Membership) -> Result<(), Error> {
        if self.notebook != membership.id() {
            return Err(Error::WrongNotebook);
        }
        let device = membership.device(self.device);
        let device = device.ok_or(Error::NotCertified(self.device))?;
        device.verify(self.signed, self.signature)
    }
}

/// The acknowledgement of `vector` by this device.
#[must_use]
pub fn sign(secret: &DeviceSecret, notebook: NotebookId, vector: &Vector) -> Vec<u8> {
    let mut bytes = LETTERS.to_vec();
    bytes.extend(notebook.as_bytes());
    bytes.extend(secret.device().as_bytes());
    bytes.extend(vector.bytes());
    secret.sign_onto(bytes)
}
