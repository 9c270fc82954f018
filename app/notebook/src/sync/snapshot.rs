//! A snapshot: all records of a notebook as they stand at a vector, sealed in
//! parts and signed by the owner. Entries behind it may be removed once all
//! members have acknowledged them.

use super::sealing::{self, TAG_BYTES};
use super::wire::{Reader, at_most, count_u16};
use super::{DeviceSecret, Error, Hash, Keys, Membership, NotebookId, Vector};
use crate::{Change, DeviceId};
use rand_core::CryptoRng;

/// Most bytes of a manifest.
pub const MAX_BYTES: usize = 64 * 1024;
/// Most bytes of a sealed part.
pub const MAX_PART_BYTES: usize = 256 * 1024;
/// A part is closed once its content is this long.
const PART_CONTENT_BYTES: usize = 128 * 1024;

const LETTERS: [u8; 4] = *b"SBS1";
const PART_LETTERS: [u8; 4] = *b"SBP1";
const PART_HEADER_BYTES: usize = 4 + 32 + 4 + 2;

/// A manifest that has been read, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Manifest<'a> {
    /// Which notebook.
    pub notebook: NotebookId,
    /// With the key of which epoch the parts are sealed.
    pub epoch: u32,
    /// Who signed it.
    pub signer: DeviceId,
    /// Length of the membership log when it was made.
    pub members: u32,
    /// All entries that it holds, with the hash of each author's chain.
    pub vector: Vector,
    /// Hashes of its parts, in order.
    pub parts: Vec<Hash>,
    signed: &'a [u8],
    signature: &'a [u8; 64],
}

impl<'a> Manifest<'a> {
    /// The manifest with these bytes.
    ///
    /// # Errors
    /// When they are not those of one.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Error> {
        at_most(bytes, MAX_BYTES)?;
        let mut reader = Reader::message(bytes, LETTERS, "a snapshot")?;
        let notebook = NotebookId::from_bytes(reader.array()?);
        let epoch = reader.u32()?;
        let signer = DeviceId::from_bytes(reader.array()?);
        let members = reader.u32()?;
        let vector = Vector::take(&mut reader)?;
        let mut parts = Vec::new();
        for _ in 0..reader.u16()? {
            parts.push(Hash::from_bytes(reader.array()?));
        }
        let (signed, signature) = bytes.split_last_chunk().ok_or(Error::Cut)?;
        reader.bytes(signature.len())?;
        reader.end()?;
        Ok(Self {
            notebook,
            epoch,
            signer,
            members,
            vector,
            parts,
            signed,
            signature,
        })
    }

    /// Checks notebook, epoch, that the signer owned the notebook when it was
    /// made, and the signature.
    ///
    /// # Errors
    /// The first of these that does not hold.
    pub fn check(&self, membership: &Membership) -> Result<(), Error> {
        if self.notebook != membership.id() {
            return Err(Error::WrongNotebook);
        }
        if self.members > membership.len() {
            return Err(Error::MembershipGap {
                next: membership.len(),
            });
        }
        if self.epoch == 0 || self.epoch > membership.epoch() {
            return Err(Error::UnknownEpoch {
                epoch: self.epoch,
                present: membership.epoch(),
            });
        }
        if membership.owner_at(self.members) != Some(self.signer) {
            return Err(Error::NotOwner(self.signer));
        }
        let owner = membership.ever(self.signer);
        let owner = owner.ok_or(Error::NotCertified(self.signer))?;
        owner.verify(self.signed, self.signature)
    }

    /// Checks that the snapshot's chains are those known here: `mine` is this
    /// device's vector, `held` says the content hash of a stored batch that ends
    /// at an entry, if there is one.
    ///
    /// # Errors
    /// [`Error::SnapshotMismatch`], or [`Error::Clash`] when the snapshot knows
    /// entries of this device that it has not written itself: its store has
    /// gone back, or another phone uses its identity.
    pub fn fits(
        &self,
        me: DeviceId,
        mine: &Vector,
        held: impl Fn(DeviceId, u32) -> Option<Hash>,
    ) -> Result<(), Error> {
        for (author, point) in self.vector.iter() {
            let tip = mine.get(author);
            if author == me && tip.is_none_or(|tip| tip.last < point.last) {
                return Err(Error::Clash {
                    device: me,
                    number: point.last,
                });
            }
            let known = match tip {
                Some(tip) if tip.last == point.last => Some(tip.hash),
                _ => held(author, point.last),
            };
            if known.is_some_and(|hash| hash != point.hash) {
                return Err(Error::SnapshotMismatch {
                    device: author,
                    number: point.last,
                });
            }
        }
        Ok(())
    }

    /// The records in one part, to be merged like any other changes.
    ///
    /// # Errors
    /// [`Error::SnapshotPart`] when the part is not the one listed under
    /// `index`, and as [`super::batch::Sealed::open`].
    pub fn open_part(&self, index: u16, part: &[u8], keys: &Keys) -> Result<Vec<Change>, Error> {
        at_most(part, MAX_PART_BYTES)?;
        let hash = Hash::of(part);
        if self.parts.get(usize::from(index)) != Some(&hash) {
            return Err(Error::SnapshotPart(hash.to_string()));
        }
        Reader::message(part, PART_LETTERS, "a part of a snapshot")?;
        let header = part_header(self.notebook, self.epoch, index);
        let sealed = part.strip_prefix(header.as_slice());
        let sealed = sealed.ok_or(Error::Damaged)?;
        let (nonce, ciphertext) = sealed.split_first_chunk().ok_or(Error::Cut)?;
        let key = keys.get(self.epoch)?;
        let key = key.for_use(b"snapshot", self.notebook, self.epoch);
        let content = sealing::open(&key, nonce, &header, ciphertext)?;
        super::log::read_changes(&content)
    }
}

fn part_header(notebook: NotebookId, epoch: u32, index: u16) -> Vec<u8> {
    let mut header = PART_LETTERS.to_vec();
    header.extend(notebook.as_bytes());
    header.extend(epoch.to_be_bytes());
    header.extend(index.to_be_bytes());
    header
}

/// A snapshot ready to be stored and sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Snapshot {
    /// Its manifest.
    pub manifest: Vec<u8>,
    /// Its parts, in order.
    pub parts: Vec<Vec<u8>>,
}

/// Makes a snapshot of `records`, which hold exactly the entries within
/// `vector`. Only the owner can.
///
/// # Errors
/// [`Error::NotOwner`], [`Error::NoKey`], or [`Error::RecordTooLarge`].
pub fn make(
    secret: &DeviceSecret,
    membership: &Membership,
    keys: &Keys,
    vector: &Vector,
    records: impl IntoIterator<Item = Change>,
    rng: &mut impl CryptoRng,
) -> Result<Snapshot, Error> {
    if membership.owner() != secret.device() {
        return Err(Error::NotOwner(secret.device()));
    }
    let (notebook, epoch) = (membership.id(), membership.epoch());
    let key = keys.get(epoch)?.for_use(b"snapshot", notebook, epoch);
    let mut parts: Vec<Vec<u8>> = Vec::new();
    for content in contents(records)? {
        let limit = MAX_BYTES / 64;
        let index = u16::try_from(parts.len()).map_err(|_| Error::TooLarge { limit })?;
        let nonce = sealing::draw(rng);
        let mut part = part_header(notebook, epoch, index);
        let ciphertext = sealing::seal(&key, &nonce, &part, &content);
        part.extend(nonce.as_ref());
        part.extend(ciphertext);
        parts.push(part);
    }
    let mut manifest = LETTERS.to_vec();
    manifest.extend(notebook.as_bytes());
    manifest.extend(epoch.to_be_bytes());
    manifest.extend(secret.device().as_bytes());
    manifest.extend(membership.len().to_be_bytes());
    manifest.extend(vector.bytes());
    manifest.extend(count_u16(parts.len()));
    for part in &parts {
        manifest.extend(Hash::of(part).as_bytes());
    }
    let manifest = secret.sign_onto(manifest);
    at_most(&manifest, MAX_BYTES)?;
    Ok(Snapshot { manifest, parts })
}

/// The records as JSON lists of bounded length.
fn contents(records: impl IntoIterator<Item = Change>) -> Result<Vec<Vec<u8>>, Error> {
    let limit = MAX_PART_BYTES - PART_HEADER_BYTES - 24 - TAG_BYTES - 2;
    let mut contents = Vec::new();
    let mut list = super::log::List::default();
    for record in records {
        let text = super::log::write_change(&record, limit)?;
        if list.len_with(&text) > PART_CONTENT_BYTES && !list.is_empty() {
            contents.push(std::mem::take(&mut list).finish());
        }
        list.push(&text);
    }
    contents.push(list.finish());
    Ok(contents)
}
