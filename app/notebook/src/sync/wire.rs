//! Reading and writing of fixed layouts: numbers big-endian, lists behind
//! their count. Nothing about what the bytes mean.

use super::Error;

/// What has not been read yet.
pub struct Reader<'a> {
    rest: &'a [u8],
}

impl<'a> Reader<'a> {
    pub const fn new(bytes: &'a [u8]) -> Self {
        Self { rest: bytes }
    }

    /// A message that begins with these four letters, of which the last is the
    /// version; `name` says what it is.
    pub fn message(bytes: &'a [u8], letters: [u8; 4], name: &'static str) -> Result<Self, Error> {
        let mut reader = Self::new(bytes);
        let found: [u8; 4] = reader.array().map_err(|_| Error::OtherKind(name))?;
        if found == letters {
            Ok(reader)
        } else if found[..3] == letters[..3] {
            Err(Error::Newer(name))
        } else {
            Err(Error::OtherKind(name))
        }
    }

    pub fn bytes(&mut self, count: usize) -> Result<&'a [u8], Error> {
        let (taken, rest) = self.rest.split_at_checked(count).ok_or(Error::Cut)?;
        self.rest = rest;
        Ok(taken)
    }

    pub fn array<const N: usize>(&mut self) -> Result<[u8; N], Error> {
        let (taken, rest) = self.rest.split_first_chunk().ok_or(Error::Cut)?;
        self.rest = rest;
        Ok(*taken)
    }

    pub fn u8(&mut self) -> Result<u8, Error> {
        self.array().map(u8::from_be_bytes)
    }

    pub fn u16(&mut self) -> Result<u16, Error> {
        self.array().map(u16::from_be_bytes)
    }

    pub fn u32(&mut self) -> Result<u32, Error> {
        self.array().map(u32::from_be_bytes)
    }

    /// A length and that many bytes.
    pub fn frame(&mut self) -> Result<&'a [u8], Error> {
        let length = self.u32()?;
        self.bytes(usize::try_from(length).map_err(|_| Error::Cut)?)
    }

    /// The next number, which stays to be read.
    pub fn peek_u32(&self) -> Result<u32, Error> {
        Reader { rest: self.rest }.u32()
    }

    /// How many bytes are left.
    pub const fn left(&self) -> usize {
        self.rest.len()
    }

    /// Nothing may be left.
    pub const fn end(&self) -> Result<(), Error> {
        if self.rest.is_empty() {
            Ok(())
        } else {
            Err(Error::Surplus)
        }
    }
}

/// Appends a length and `bytes`.
pub fn put_frame(into: &mut Vec<u8>, bytes: &[u8]) {
    into.extend(length_u32(bytes).to_be_bytes());
    into.extend(bytes);
}

/// The length of a list that is known to be short; one too long for the field
/// is cut off, which its reader refuses.
fn length_u32(bytes: &[u8]) -> u32 {
    u32::try_from(bytes.len()).unwrap_or(u32::MAX)
}

/// The count of a list that is known to be short.
pub fn count_u16(count: usize) -> [u8; 2] {
    u16::try_from(count).unwrap_or(u16::MAX).to_be_bytes()
}

/// Refuses what is larger than `limit`.
pub const fn at_most(bytes: &[u8], limit: usize) -> Result<(), Error> {
    if bytes.len() <= limit {
        Ok(())
    } else {
        Err(Error::TooLarge { limit })
    }
}
