//! A run: sealed batches of one author that follow each other, in one message. A phone
//! with much to bring sends it by one request, and the relay stores it whole or not at
//! all. Each batch keeps its own signature; the run has none.

use super::Error;
use super::batch::Sealed;
use super::wire::{Reader, at_most, put_frame};

/// Most bytes of a run.
pub const MAX_BYTES: usize = 1024 * 1024;
/// Most batches of a run.
pub const MAX_BATCHES: usize = 64;

const LETTERS: [u8; 4] = *b"SBN1";

/// A run that grows.
#[derive(Debug)]
pub struct Run {
    bytes: Vec<u8>,
    batches: usize,
}

impl Default for Run {
    fn default() -> Self {
        Self {
            bytes: LETTERS.to_vec(),
            batches: 0,
        }
    }
}

impl Run {
    /// Puts a batch at its end. Gives false, and leaves the run as it is, where there
    /// is no room. That it follows the one before is for its reader to check.
    pub fn push(&mut self, batch: &[u8]) -> bool {
        let fits = self.batches < MAX_BATCHES && self.bytes.len() + 4 + batch.len() <= MAX_BYTES;
        if fits {
            put_frame(&mut self.bytes, batch);
            self.batches += 1;
        }
        fits
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// The batches of the run with these bytes, each with its own bytes: at least one, all
/// of one notebook and author, each right after the one before. Their signatures are
/// not checked yet.
///
/// # Errors
/// When they are not those of a run; [`Error::Gap`] where a batch does not follow.
pub fn read(bytes: &[u8]) -> Result<Vec<(Sealed<'_>, &[u8])>, Error> {
    const NAME: &str = "a run of batches";
    at_most(bytes, MAX_BYTES)?;
    let mut reader = Reader::message(bytes, LETTERS, NAME)?;
    let mut batches: Vec<(Sealed, &[u8])> = Vec::new();
    while batches.is_empty() || reader.left() > 0 {
        if batches.len() == MAX_BATCHES {
            return Err(Error::TooLarge { limit: MAX_BYTES });
        }
        let frame = reader.frame()?;
        let sealed = Sealed::read(frame)?;
        if let Some((before, _)) = batches.last() {
            check_follows(&before.header, &sealed.header, NAME)?;
        }
        batches.push((sealed, frame));
    }
    Ok(batches)
}

fn check_follows(
    before: &super::batch::Header,
    header: &super::batch::Header,
    name: &'static str,
) -> Result<(), Error> {
    if header.notebook != before.notebook {
        return Err(Error::WrongNotebook);
    }
    if header.device != before.device {
        return Err(Error::OtherKind(name));
    }
    let follows =
        header.first.checked_sub(1) == Some(before.last) && header.before == before.content;
    if follows {
        Ok(())
    } else {
        Err(Error::Gap {
            device: before.device,
            last: before.last,
        })
    }
}
