//! The two messages of reading, and a reader that takes an answer in pieces.

use crate::sync::wire::{Reader, at_most, put_frame};
use crate::sync::{Error, Vector, batch};

/// Most bytes of batches in an answer, unless its first batch alone is longer.
pub const MAX_ANSWER_BYTES: usize = 1024 * 1024;
/// Most bytes of a request, and of what stands before the batches in an answer.
const MAX_HEAD_BYTES: usize = 16 * 1024;

const REQUEST_LETTERS: [u8; 4] = *b"SBV1";
const ANSWER_LETTERS: [u8; 4] = *b"SBR1";

/// What a phone has, and so what it does not want.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadRequest {
    /// Length of its membership log.
    pub members: u32,
    /// All entries applied.
    pub vector: Vector,
}

impl ReadRequest {
    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = REQUEST_LETTERS.to_vec();
        bytes.extend(self.members.to_be_bytes());
        bytes.extend(self.vector.bytes());
        bytes
    }

    /// The request with these bytes.
    ///
    /// # Errors
    /// When they are not those of one.
    pub fn read(bytes: &[u8]) -> Result<Self, Error> {
        at_most(bytes, MAX_HEAD_BYTES)?;
        let mut reader = Reader::message(bytes, REQUEST_LETTERS, "a request to read")?;
        let members = reader.u32()?;
        let vector = Vector::take(&mut reader)?;
        reader.end()?;
        Ok(Self { members, vector })
    }
}

/// What comes after an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[repr(u8)]
pub enum Then {
    /// There is no more.
    #[default]
    Nothing = 0,
    /// There are batches beyond those in this answer.
    More = 1,
    /// Entries after the request's vector have been removed: take the snapshot.
    SnapshotFirst = 2,
}

/// What stands before the batches in an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerHead {
    /// Length of the relay's membership log.
    pub members: u32,
    /// What comes after it.
    pub then: Then,
    /// All that the relay has.
    pub heads: Vector,
}

/// The relay's answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadAnswer<B> {
    /// What the relay has.
    pub head: AnswerHead,
    /// Batches beyond the request's vector, those of one author in order.
    pub batches: Vec<B>,
}

impl<B: AsRef<[u8]>> ReadAnswer<B> {
    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = ANSWER_LETTERS.to_vec();
        bytes.extend(self.head.members.to_be_bytes());
        bytes.push(self.head.then as u8);
        bytes.extend(self.head.heads.bytes());
        for batch in &self.batches {
            put_frame(&mut bytes, batch.as_ref());
        }
        bytes
    }
}

/// A piece of an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// What stands before the batches; comes first, once.
    Head(AnswerHead),
    /// A whole batch.
    Batch(Vec<u8>),
}

/// Reads an answer as it arrives. A connection may break at any byte: the
/// pieces that came out until then are whole, and the next request goes on
/// after them.
#[derive(Debug, Default)]
pub struct AnswerReader {
    buffer: Vec<u8>,
    past_head: bool,
}

impl AnswerReader {
    /// Takes in what has arrived, and gives what is whole by it.
    ///
    /// # Errors
    /// When this is no answer; what came out before still stands.
    pub fn push(&mut self, bytes: &[u8]) -> Result<Vec<Piece>, Error> {
        self.buffer.extend(bytes);
        let mut pieces = Vec::new();
        let mut reader = Reader::new(&self.buffer);
        let mut left = self.buffer.len();
        loop {
            let piece = if self.past_head {
                take_batch(&mut reader)
            } else {
                take_head(&mut reader)
            };
            match piece {
                Ok(piece) => pieces.push(piece),
                Err(Error::Cut) => break,
                Err(error) => return Err(error),
            }
            self.past_head = true;
            left = reader.left();
        }
        let limit = if self.past_head {
            batch::MAX_BYTES + 4
        } else {
            MAX_HEAD_BYTES
        };
        at_most(&self.buffer[self.buffer.len() - left..], limit)?;
        self.buffer.drain(..self.buffer.len() - left);
        Ok(pieces)
    }

    /// Nothing may be left when the connection has ended well.
    ///
    /// # Errors
    /// [`Error::Cut`].
    pub const fn end(&self) -> Result<(), Error> {
        if self.buffer.is_empty() && self.past_head {
            Ok(())
        } else {
            Err(Error::Cut)
        }
    }
}

fn take_head(reader: &mut Reader) -> Result<Piece, Error> {
    let letters: [u8; 4] = reader.array()?;
    Reader::message(&letters, ANSWER_LETTERS, "an answer of the relay")?;
    let members = reader.u32()?;
    let then = match reader.u8()? {
        0 => Then::Nothing,
        1 => Then::More,
        2 => Then::SnapshotFirst,
        _ => return Err(Error::OtherKind("an answer of the relay")),
    };
    let heads = Vector::take(reader)?;
    Ok(Piece::Head(AnswerHead {
        members,
        then,
        heads,
    }))
}

fn take_batch(reader: &mut Reader) -> Result<Piece, Error> {
    let length = reader.peek_u32()?;
    if usize::try_from(length).is_ok_and(|length| length > batch::MAX_BYTES) {
        return Err(Error::TooLarge {
            limit: batch::MAX_BYTES,
        });
    }
    Ok(Piece::Batch(reader.frame()?.to_vec()))
}
