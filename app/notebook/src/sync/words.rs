//! Secrets and fingerprints as words and digits, for people to say, type and
//! compare. The list is BIP-39's English one; its checksum of 4 bits finds most
//! slips.

use super::sealing::draw;
use super::{Error, Hash};
use bip39::{Language, Mnemonic};
use rand_core::CryptoRng;
use zeroize::Zeroizing;

/// How many words a secret has.
pub const COUNT: usize = 12;

/// A secret of 128 bits that is told in twelve words.
#[derive(Clone)]
pub struct Words(Zeroizing<[u8; 16]>);

impl Words {
    /// A new secret.
    #[must_use]
    pub fn draw(rng: &mut impl CryptoRng) -> Self {
        Self(draw(rng))
    }

    /// The secret with these bytes.
    #[must_use]
    pub fn from_bytes(bytes: [u8; 16]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    /// Its bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 16] {
        &self.0
    }

    /// The secret in words, a blank between two.
    ///
    /// # Panics
    /// Never: 128 bits make twelve words.
    #[must_use]
    pub fn text(&self) -> Zeroizing<String> {
        let mnemonic = Mnemonic::from_entropy(self.0.as_ref()).expect("16 bytes are a mnemonic");
        let words: Vec<&str> = mnemonic.words().collect();
        Zeroizing::new(words.join(" "))
    }

    /// The secret that typed words tell. Large letters and blanks do not matter.
    ///
    /// # Errors
    /// [`Error::WordCount`], [`Error::UnknownWord`] with its place from 1, or
    /// [`Error::WordsDoNotFit`].
    pub fn read(typed: &str) -> Result<Self, Error> {
        let small = Zeroizing::new(typed.to_ascii_lowercase());
        let words: Vec<&str> = small.split_ascii_whitespace().collect();
        if words.len() != COUNT {
            return Err(Error::WordCount {
                expected: COUNT,
                found: words.len(),
            });
        }
        let text = Zeroizing::new(words.join(" "));
        let mnemonic = Mnemonic::parse_in_normalized(Language::English, &text);
        let mnemonic = mnemonic.map_err(|error| match error {
            bip39::Error::UnknownWord(place) => Error::UnknownWord(place + 1),
            _ => Error::WordsDoNotFit,
        })?;
        let (bytes, _) = mnemonic.to_entropy_array();
        let bytes = Zeroizing::new(bytes);
        let mut secret = Zeroizing::new([0; 16]);
        secret.copy_from_slice(&bytes[..16]);
        Ok(Self(secret))
    }
}

/// A fingerprint as 20 digits in groups of five: 66 bits, so nobody finds keys
/// with the same one by trying.
#[must_use]
pub fn digits(fingerprint: &Hash) -> String {
    let groups = fingerprint.as_bytes().as_chunks::<8>().0.iter();
    let groups = groups.map(|bytes| format!("{:05}", u64::from_be_bytes(*bytes) % 100_000));
    groups.collect::<Vec<_>>().join(" ")
}

/// A fingerprint as six words: 66 bits.
#[must_use]
pub fn six_words(fingerprint: &Hash) -> [&'static str; 6] {
    let list = Language::English.word_list();
    let bytes = fingerprint.as_bytes();
    std::array::from_fn(|word| {
        let pair = [bytes[2 * word], bytes[2 * word + 1]];
        list[usize::from(u16::from_be_bytes(pair)) % list.len()]
    })
}
