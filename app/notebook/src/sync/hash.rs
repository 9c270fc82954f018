//! SHA-256 hashes and the ids that are one.

use super::Error;
use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;

macro_rules! thirty_two_bytes {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
        pub struct $name([u8; 32]);

        impl $name {
            /// The one with these bytes.
            #[must_use]
            pub const fn from_bytes(bytes: [u8; 32]) -> Self {
                Self(bytes)
            }

            /// Its bytes.
            #[must_use]
            pub const fn as_bytes(&self) -> &[u8; 32] {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&to_hex(&self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({self})", stringify!($name))
            }
        }

        impl FromStr for $name {
            type Err = Error;
            fn from_str(text: &str) -> Result<Self, Error> {
                from_hex(text).map(Self)
            }
        }
    };
}

thirty_two_bytes! {
    /// A SHA-256 hash (FIPS 180-4). Written as 64 small hexadecimal digits.
    Hash
}

thirty_two_bytes! {
    /// Identity of a notebook: the hash of the first entry of its membership
    /// log, so nobody can begin another log for it. Written as 64 small
    /// hexadecimal digits.
    NotebookId
}

impl Hash {
    /// The hash of nothing that exists: what stands before a first entry.
    pub const NONE: Self = Self([0; 32]);

    /// The hash of `bytes`.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The hash of these parts in a row.
    pub(crate) fn of_parts(parts: &[&[u8]]) -> Self {
        let mut hasher = Sha256::new();
        for part in parts {
            hasher.update(part);
        }
        Self(hasher.finalize().into())
    }
}

/// Small hexadecimal digits of `bytes`.
pub fn to_hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |nibble: u8| char::from(DIGITS[usize::from(nibble & 15)]);
    bytes
        .iter()
        .flat_map(|byte| [digit(byte >> 4), digit(*byte)])
        .collect()
}

/// The bytes that exactly 2 N small hexadecimal digits spell.
pub fn from_hex<const N: usize>(text: &str) -> Result<[u8; N], Error> {
    let digit = |c: u8| match c {
        b'0'..=b'9' => Ok(c - b'0'),
        b'a'..=b'f' => Ok(c - b'a' + 10),
        _ => Err(Error::Hex),
    };
    if text.len() != 2 * N {
        return Err(Error::Hex);
    }
    let mut bytes = [0; N];
    for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
        *byte = digit(pair[0])? << 4 | digit(pair[1])?;
    }
    Ok(bytes)
}
