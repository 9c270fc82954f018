//! What can go wrong while syncing.

use crate::device::idb::StorageError;
use notebook::sync::problem::Problem;
use wasm_bindgen::prelude::*;

/// Why something was not done. Its text is a sentence for the user.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    /// The phone's storage.
    #[error("{0}")]
    Storage(#[from] StorageError),
    /// What came was refused, or cannot be made.
    #[error("Refused: {0}.")]
    Notebook(#[from] notebook::sync::Error),
    /// The server refused.
    #[error("The server refused: {sentence}")]
    Refused {
        /// Why; `None` when a newer server says what this version does not know.
        problem: Option<Problem>,
        /// The server's sentence.
        sentence: String,
        /// The fact that it gives, such as its own time.
        number: Option<u64>,
        /// How long to wait, in seconds.
        wait_s: Option<u64>,
    },
    /// Two phones use one identity.
    #[error(
        "Another phone writes under this phone\u{2019}s name: one of the two was copied or restored \
         from the other. What was written here is kept. Under Sharing this phone can go on as a \
         new one."
    )]
    Clash,
    /// No answer.
    #[error("The server did not answer. This works again once the phone is online.")]
    Silence,
    /// The browser has no such thing.
    #[error("This browser cannot sync: {0}.")]
    Browser(String),
    /// Nothing is known by that name.
    #[error("This is no longer there.")]
    Gone,
    /// Only the owner may do this.
    #[error("Only the phone that owns this notebook can do this.")]
    NotMine,
    /// Sync is off.
    #[error("Sync is switched off.")]
    Off,
    /// The notebook has not come yet.
    #[error("This notebook has not arrived yet.")]
    Joining,
    /// The words lead to nothing.
    #[error(
        "These words lead to no pass: it was used already, it has expired, or a word is wrong."
    )]
    NoPass,
    /// No notebook knows the sheet.
    #[error("No notebook on this server knows this recovery sheet.")]
    UnknownSheet,
    /// The log does not name who invited.
    #[error("The notebook's members do not name the phone that gave the pass. It was not joined.")]
    OtherOwner,
    /// A file of another notebook.
    #[error("This file belongs to a notebook that this phone has no pass for.")]
    OtherFile,
    /// A file would not be whole.
    #[error("Only the owner's phone can write this file: older entries are no longer kept here.")]
    NotWhole,
}

impl Error {
    /// The server's reason, if it refused.
    pub fn problem(&self) -> Option<Problem> {
        match self {
            Self::Refused { problem, .. } => *problem,
            _ => None,
        }
    }
}

impl From<JsValue> for Error {
    fn from(error: JsValue) -> Self {
        Self::Storage(error.into())
    }
}
