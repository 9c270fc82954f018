//! Passes: the invitation to one notebook, the answer to it, and how both
//! travel. By the relay's mailbox, sealed with what twelve words give; or
//! without any network as codes that two phones show each other.
//!
//! A pass holds no key of the notebook. It leads to a request with the new
//! phone's public keys, which the owner admits after comparing fingerprints.

use super::sealing::{self, Key, derive};
use super::wire::Reader;
use super::words::Words;
use super::{Certificate, DeviceSecret, Error, NotebookId, Role};
use rand_core::CryptoRng;

/// Longest life of a pass, in seconds: a week.
pub const MAX_LIFE_S: u64 = 7 * 24 * 60 * 60;

const PASS_LETTERS: [u8; 4] = *b"SBT1";
const REQUEST_LETTERS: [u8; 4] = *b"SBJ1";

/// An invitation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pass {
    /// To which notebook.
    pub notebook: NotebookId,
    /// In which role.
    pub role: Role,
    /// Who invites: the membership log that is fetched must name this owner.
    pub owner: Certificate,
    /// When it ends, in seconds since 1970.
    pub expires_s: u64,
}

/// A mailbox at the relay, with the key that seals what lies in it.
pub struct Mailbox {
    /// Its name at the relay. Tells nothing of the key.
    pub name: [u8; 16],
    key: Key,
}

/// The two mailboxes of a pass.
pub struct Mailboxes {
    /// Where the owner puts the pass.
    pub pass: Mailbox,
    /// Where the new phone puts its request.
    pub request: Mailbox,
}

impl Mailboxes {
    /// The mailboxes that twelve words lead to.
    #[must_use]
    pub fn of(words: &Words) -> Self {
        let mailbox = |use_of: &[u8]| {
            let info = |what: &[u8]| [b"stridebook pass ", use_of, b" ", what].concat();
            Mailbox {
                name: *derive(words.as_bytes(), &[], &info(b"name")),
                key: derive(words.as_bytes(), &[], &info(b"key")),
            }
        };
        Self {
            pass: mailbox(b"invitation"),
            request: mailbox(b"request"),
        }
    }
}

impl Mailbox {
    /// Seals what is to lie in it.
    #[must_use]
    pub fn seal(&self, message: &[u8], rng: &mut impl CryptoRng) -> Vec<u8> {
        let nonce = sealing::draw(rng);
        let mut sealed = nonce.to_vec();
        sealed.extend(sealing::seal(&self.key, &nonce, &self.name, message));
        sealed
    }

    /// Opens what lay in it.
    ///
    /// # Errors
    /// [`Error::Damaged`] when it was not sealed for it.
    pub fn open(&self, sealed: &[u8]) -> Result<Vec<u8>, Error> {
        let (nonce, ciphertext) = sealed.split_first_chunk().ok_or(Error::Cut)?;
        sealing::open(&self.key, nonce, &self.name, ciphertext).map(|message| message.to_vec())
    }
}

impl Pass {
    /// Its bytes, to be sealed.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = PASS_LETTERS.to_vec();
        bytes.extend(self.notebook.as_bytes());
        bytes.push(self.role as u8);
        self.owner.put(&mut bytes);
        bytes.extend(self.expires_s.to_be_bytes());
        bytes
    }

    /// The pass with these bytes, if it has not expired.
    ///
    /// # Errors
    /// [`Error::Expired`], or when they are not those of a pass.
    pub fn read(bytes: &[u8], now_s: u64) -> Result<Self, Error> {
        let mut reader = Reader::message(bytes, PASS_LETTERS, "a pass")?;
        let pass = Self {
            notebook: NotebookId::from_bytes(reader.array()?),
            role: Role::read(reader.u8()?)?,
            owner: Certificate::take(&mut reader)?,
            expires_s: u64::from_be_bytes(reader.array()?),
        };
        reader.end()?;
        if now_s >= pass.expires_s {
            return Err(Error::Expired);
        }
        Ok(pass)
    }

    /// Sealed to the phone whose request was read off its screen.
    ///
    /// # Errors
    /// [`Error::BadKey`] when its key is none.
    pub fn seal_to(&self, to: &Certificate, rng: &mut impl CryptoRng) -> Result<Vec<u8>, Error> {
        sealing::seal_to(&to.receiving, &PASS_LETTERS, &self.bytes(), rng)
    }

    /// Opens a pass that was sealed to this phone.
    ///
    /// # Errors
    /// [`Error::Damaged`] when it was sealed to another one; as [`Self::read`].
    pub fn open(secret: &DeviceSecret, sealed: &[u8], now_s: u64) -> Result<Self, Error> {
        Self::read(&secret.open(&PASS_LETTERS, sealed)?, now_s)
    }
}

/// The new phone's request: its public keys and the role it was offered, signed
/// with the key that it shows.
#[must_use]
pub fn request(secret: &DeviceSecret, role: Role) -> Vec<u8> {
    let mut bytes = REQUEST_LETTERS.to_vec();
    secret.certificate(role).put(&mut bytes);
    secret.sign_onto(bytes)
}

/// Reads a request. The owner compares its fingerprint before admitting it, and
/// sets the role.
///
/// # Errors
/// When it is none, or not signed with its own key.
pub fn read_request(bytes: &[u8]) -> Result<Certificate, Error> {
    let mut reader = Reader::message(bytes, REQUEST_LETTERS, "a request to join")?;
    let certificate = Certificate::take(&mut reader)?;
    let signature = reader.array()?;
    reader.end()?;
    let (signed, _) = bytes.split_last_chunk::<64>().ok_or(Error::Cut)?;
    certificate.check_keys()?;
    certificate.verify(signed, &signature)?;
    Ok(certificate)
}
