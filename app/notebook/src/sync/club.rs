//! The club notebook's list of notebooks. A club notebook is a notebook like any
//! other, whose members are coaches; that it lists others makes it one.

use super::hash::{from_hex, to_hex};
use super::sealing::{draw, open, seal};
use super::{Error, Keys, NotebookId, NotebookKey};
use crate::{Field, Head, RecordId, StampClock};
use rand_core::CryptoRng;
use serde::{Deserialize, Serialize};

/// The store of these records; never changes.
pub const STORE: &str = "notebooks";

/// A notebook on the club's list: its id, and its key sealed with the club's
/// own, so that the key lies open in no store. Add-only but for the key, which a
/// new epoch of that notebook replaces.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Listed {
    /// Common head; its id follows from the notebook's, so that two coaches who
    /// list the same notebook make one record.
    pub head: Head,
    /// Which notebook, as 64 hexadecimal digits.
    pub notebook: String,
    /// Its key: epoch of the club's key, epoch of the notebook's, sealed key.
    pub key: Field<String>,
}

/// The club at work.
pub struct Club<'a> {
    /// Which notebook is the club's.
    pub id: NotebookId,
    /// Its keys.
    pub keys: &'a Keys,
    /// Its present epoch.
    pub epoch: u32,
}

impl Club<'_> {
    /// Lists a notebook with its key of `epoch`.
    ///
    /// # Errors
    /// [`Error::NoKey`] when the club's key is not at hand.
    pub fn list(
        &self,
        notebook: NotebookId,
        epoch: u32,
        key: &NotebookKey,
        clock: &StampClock,
        rng: &mut impl CryptoRng,
    ) -> Result<Listed, Error> {
        let mut id = [0; 16];
        id.copy_from_slice(&notebook.as_bytes()[..16]);
        Ok(Listed {
            head: Head::new(RecordId::from_bytes(id), clock),
            notebook: notebook.to_string(),
            key: Field::new(self.wrap(notebook, epoch, key, rng)?, clock.stamp()),
        })
    }

    /// The text that stands in [`Listed::key`].
    ///
    /// # Errors
    /// [`Error::NoKey`] when the club's key is not at hand.
    pub fn wrap(
        &self,
        notebook: NotebookId,
        epoch: u32,
        key: &NotebookKey,
        rng: &mut impl CryptoRng,
    ) -> Result<String, Error> {
        let with = self.keys.get(self.epoch)?;
        let with = with.for_use(b"listed notebook", self.id, self.epoch);
        let nonce = draw(rng);
        let mut sealed = nonce.to_vec();
        sealed.extend(seal(&with, &nonce, &aad(notebook, epoch), key.as_bytes()));
        Ok(format!("{}.{epoch}.{}", self.epoch, to_hex(&sealed)))
    }

    /// A listed notebook: its id, and its key with the epoch of that.
    ///
    /// # Errors
    /// [`Error::Hex`] when the record is not readable, [`Error::NoKey`],
    /// [`Error::Damaged`].
    pub fn open(&self, listed: &Listed) -> Result<(NotebookId, u32, NotebookKey), Error> {
        let notebook: NotebookId = listed.notebook.parse()?;
        let mut parts = listed.key.get().splitn(3, '.');
        let mut epoch = || parts.next()?.parse::<u32>().ok();
        let (club_epoch, epoch) = epoch().zip(epoch()).ok_or(Error::Hex)?;
        let sealed: [u8; 24 + 32 + 16] = from_hex(parts.next().ok_or(Error::Hex)?)?;
        let (nonce, ciphertext) = sealed.split_first_chunk().ok_or(Error::Cut)?;
        let with = self.keys.get(club_epoch)?;
        let with = with.for_use(b"listed notebook", self.id, club_epoch);
        let key = open(&with, nonce, &aad(notebook, epoch), ciphertext)?;
        let key: [u8; 32] = key.as_slice().try_into().map_err(|_| Error::Damaged)?;
        Ok((notebook, epoch, NotebookKey::from_bytes(key)))
    }
}

fn aad(notebook: NotebookId, epoch: u32) -> Vec<u8> {
    let mut aad = notebook.as_bytes().to_vec();
    aad.extend(epoch.to_be_bytes());
    aad
}
