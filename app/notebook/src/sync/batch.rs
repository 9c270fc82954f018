//! A sealed batch of entries of one author: its bytes, what can be said of it
//! without a key, and its seal.
//!
//! Bounds and content of a batch never change once it has left its author; only
//! its seal does, when the epoch has changed meanwhile.

use super::sealing::{self, TAG_BYTES};
use super::wire::{Reader, at_most};
use super::{DeviceSecret, Error, Hash, Keys, NotebookId, Point};
use crate::DeviceId;
use rand_core::CryptoRng;
use zeroize::Zeroizing;

/// Most bytes of a sealed batch.
pub const MAX_BYTES: usize = 256 * 1024;
/// Most bytes inside.
pub const MAX_CONTENT_BYTES: usize = MAX_BYTES - HEADER_BYTES - 24 - TAG_BYTES - 64;

const LETTERS: [u8; 4] = *b"SBB1";
const HEADER_BYTES: usize = 4 + 32 + 4 + 16 + 4 + 4 + 32 + 32;

/// What everybody may know of a batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Header {
    /// Which notebook.
    pub notebook: NotebookId,
    /// With the key of which epoch it is sealed.
    pub epoch: u32,
    /// Its author.
    pub device: DeviceId,
    /// Number of its first entry, from 1.
    pub first: u32,
    /// Number of its last entry.
    pub last: u32,
    /// Content hash of the author's batch before; zeros when `first` is 1.
    pub before: Hash,
    /// Content hash: the same whatever epoch it is sealed in.
    pub content: Hash,
}

impl Header {
    /// The point at its end.
    #[must_use]
    pub const fn point(&self) -> Point {
        Point {
            last: self.last,
            hash: self.content,
        }
    }

    fn bytes(&self) -> Vec<u8> {
        let mut bytes = LETTERS.to_vec();
        bytes.extend(self.notebook.as_bytes());
        bytes.extend(self.epoch.to_be_bytes());
        bytes.extend(self.device.as_bytes());
        bytes.extend(self.first.to_be_bytes());
        bytes.extend(self.last.to_be_bytes());
        bytes.extend(self.before.as_bytes());
        bytes.extend(self.content.as_bytes());
        bytes
    }

    /// The hash of content at this place. The content begins with random
    /// bytes, so the relay cannot try out guesses.
    fn hash_of(&self, content: &[u8]) -> Hash {
        Hash::of_parts(&[
            b"SBC1",
            self.notebook.as_bytes(),
            self.device.as_bytes(),
            &self.first.to_be_bytes(),
            &self.last.to_be_bytes(),
            self.before.as_bytes(),
            content,
        ])
    }
}

/// A batch that has been read, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed<'a> {
    /// What everybody may know of it.
    pub header: Header,
    pub(super) signed: &'a [u8],
    pub(super) signature: &'a [u8; 64],
    nonce: &'a [u8; 24],
    ciphertext: &'a [u8],
}

impl<'a> Sealed<'a> {
    /// The batch with these bytes.
    ///
    /// # Errors
    /// When they are not those of a batch.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Error> {
        at_most(bytes, MAX_BYTES)?;
        let mut reader = Reader::message(bytes, LETTERS, "a sealed batch")?;
        let header = Header {
            notebook: NotebookId::from_bytes(reader.array()?),
            epoch: reader.u32()?,
            device: DeviceId::from_bytes(reader.array()?),
            first: reader.u32()?,
            last: reader.u32()?,
            before: Hash::from_bytes(reader.array()?),
            content: Hash::from_bytes(reader.array()?),
        };
        let Header { first, last, .. } = header;
        if first == 0 || first > last || (first == 1) != (header.before == Hash::NONE) {
            return Err(Error::Range { first, last });
        }
        let (signed, signature) = bytes.split_last_chunk().ok_or(Error::Cut)?;
        let sealed = signed.get(HEADER_BYTES..).ok_or(Error::Cut)?;
        let (nonce, ciphertext) = sealed.split_first_chunk().ok_or(Error::Cut)?;
        if ciphertext.len() < TAG_BYTES {
            return Err(Error::Cut);
        }
        Ok(Self {
            header,
            signed,
            signature,
            nonce,
            ciphertext,
        })
    }

    /// What is inside. The signature must have been checked before, by
    /// [`super::Membership::check_batch`].
    ///
    /// # Errors
    /// [`Error::NoKey`], or [`Error::Damaged`] when the content is not what the
    /// header says.
    pub fn open(&self, keys: &Keys) -> Result<Zeroizing<Vec<u8>>, Error> {
        let Header {
            notebook, epoch, ..
        } = self.header;
        let key = keys.get(epoch)?.for_use(b"batch", notebook, epoch);
        let aad = &self.signed[..HEADER_BYTES];
        let content = sealing::open(&key, self.nonce, aad, self.ciphertext)?;
        if self.header.hash_of(&content) != self.header.content {
            return Err(Error::Damaged);
        }
        Ok(content)
    }
}

/// Seals `content` as the entries after `tip`, up to `last`. The content must
/// begin with random bytes.
///
/// # Errors
/// [`Error::NoKey`], [`Error::Range`], or [`Error::TooLarge`].
pub fn seal(
    secret: &DeviceSecret,
    keys: &Keys,
    place: &NextBatch,
    content: &[u8],
    rng: &mut impl CryptoRng,
) -> Result<(Header, Vec<u8>), Error> {
    let (first, before) = place.tip.map_or((1, Hash::NONE), |tip| {
        (tip.last.saturating_add(1), tip.hash)
    });
    if first > place.last {
        return Err(Error::Range {
            first,
            last: place.last,
        });
    }
    let mut header = Header {
        notebook: place.notebook,
        epoch: place.epoch,
        device: secret.device(),
        first,
        last: place.last,
        before,
        content: Hash::NONE,
    };
    header.content = header.hash_of(content);
    Ok((header, seal_as(secret, keys, &header, content, rng)?))
}

/// Seals this device's own batch again, for another epoch.
///
/// # Errors
/// When it is not this device's own, or a key is not at hand.
pub fn reseal(
    secret: &DeviceSecret,
    keys: &Keys,
    bytes: &[u8],
    epoch: u32,
    rng: &mut impl CryptoRng,
) -> Result<Vec<u8>, Error> {
    let sealed = Sealed::read(bytes)?;
    if sealed.header.device != secret.device() {
        return Err(Error::NotCertified(sealed.header.device));
    }
    let content = sealed.open(keys)?;
    let header = Header {
        epoch,
        ..sealed.header
    };
    seal_as(secret, keys, &header, &content, rng)
}

fn seal_as(
    secret: &DeviceSecret,
    keys: &Keys,
    header: &Header,
    content: &[u8],
    rng: &mut impl CryptoRng,
) -> Result<Vec<u8>, Error> {
    at_most(content, MAX_CONTENT_BYTES)?;
    let key = keys.get(header.epoch)?;
    let key = key.for_use(b"batch", header.notebook, header.epoch);
    let nonce = sealing::draw(rng);
    let mut bytes = header.bytes();
    let ciphertext = sealing::seal(&key, &nonce, &bytes, content);
    bytes.extend(nonce.as_ref());
    bytes.extend(ciphertext);
    Ok(secret.sign_onto(bytes))
}

/// Where a new batch goes.
#[derive(Debug, Clone, Copy)]
pub struct NextBatch {
    /// Which notebook.
    pub notebook: NotebookId,
    /// The present epoch.
    pub epoch: u32,
    /// End of the author's batch before.
    pub tip: Option<Point>,
    /// Number of its last entry.
    pub last: u32,
}

/// A stored batch with the same author and first entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// Its content hash.
    pub content: Hash,
    /// The epoch in which it is sealed.
    pub epoch: u32,
}

/// How a batch stands to what is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// It comes next.
    Next,
    /// It is here already.
    Known,
    /// It is here, sealed for an earlier epoch: this seal takes its place.
    Resealed,
}

/// How a batch stands to its author's entries that are here: `tip` is where
/// these end, `held` the batch among them that begins at the same entry, if it
/// is still stored.
///
/// # Errors
/// [`Error::Gap`], or [`Error::Clash`] when another content is here.
pub fn place(header: &Header, tip: Option<Point>, held: Option<Held>) -> Result<Place, Error> {
    let device = header.device;
    let clash = |number| Error::Clash { device, number };
    let last = tip.map_or(0, |tip| tip.last);
    if header.first > last {
        if header.first - 1 != last {
            return Err(Error::Gap { device, last });
        }
        let before = tip.map_or(Hash::NONE, |tip| tip.hash);
        return if before == header.before {
            Ok(Place::Next)
        } else {
            Err(clash(last))
        };
    }
    match held {
        Some(held) if held.content != header.content => Err(clash(header.first)),
        Some(held) if held.epoch < header.epoch => Ok(Place::Resealed),
        Some(_) => Ok(Place::Known),
        None if header.last > last => Err(clash(header.first)),
        None if tip.is_some_and(|tip| tip.last == header.last && tip.hash != header.content) => {
            Err(clash(header.last))
        }
        None => Ok(Place::Known),
    }
}
