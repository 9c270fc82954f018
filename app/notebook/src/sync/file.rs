//! The file that carries a notebook's sealed messages from phone to phone
//! without a relay: the same bytes as the relay gets, in one file.

use super::wire::{Reader, put_frame};
use super::{Error, Hash, NotebookId};

const LETTERS: [u8; 4] = *b"SBX1";
const NAME: &str = "a Stridebook file";
/// Most messages in a file.
const MAX_MESSAGES: u32 = 1_000_000;

/// A message in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Message<'a> {
    /// An entry of the membership log.
    Membership(&'a [u8]),
    /// A snapshot's manifest.
    Snapshot(&'a [u8]),
    /// A part of that snapshot.
    SnapshotPart(&'a [u8]),
    /// A sealed batch.
    Batch(&'a [u8]),
}

/// A file with these messages: membership entries first, then a snapshot with
/// its parts, then batches, those of one author in order.
#[must_use]
pub fn write<'a>(notebook: NotebookId, messages: impl IntoIterator<Item = &'a [u8]>) -> Vec<u8> {
    let mut frames = Vec::new();
    let mut count = 0_u32;
    for message in messages {
        put_frame(&mut frames, message);
        count += 1;
    }
    let mut bytes = LETTERS.to_vec();
    bytes.extend(notebook.as_bytes());
    bytes.extend(count.to_be_bytes());
    bytes.extend(frames);
    let hash = Hash::of(&bytes);
    bytes.extend(hash.as_bytes());
    bytes
}

/// The notebook and the messages of a file. Each message is still to be checked
/// like one from the relay; the file's own hash only finds a file that was cut
/// or damaged on its way, before anything of it is applied.
///
/// # Errors
/// When it is no such file, or not whole.
pub fn read(bytes: &[u8]) -> Result<(NotebookId, Vec<Message<'_>>), Error> {
    let mut reader = Reader::message(bytes, LETTERS, NAME)?;
    let (body, hash) = bytes.split_last_chunk::<32>().ok_or(Error::Cut)?;
    if Hash::of(body) != Hash::from_bytes(*hash) {
        return Err(Error::Damaged);
    }
    let notebook = NotebookId::from_bytes(reader.array()?);
    let count = reader.u32()?;
    if count > MAX_MESSAGES {
        return Err(Error::Surplus);
    }
    let mut messages = Vec::new();
    for _ in 0..count {
        let message = reader.frame()?;
        messages.push(match message.first_chunk() {
            Some(b"SBM1") => Message::Membership(message),
            Some(b"SBS1") => Message::Snapshot(message),
            Some(b"SBP1") => Message::SnapshotPart(message),
            Some(b"SBB1") => Message::Batch(message),
            Some(_) => return Err(Error::Newer(NAME)),
            None => return Err(Error::Cut),
        });
    }
    reader.bytes(hash.len())?;
    reader.end()?;
    Ok((notebook, messages))
}
