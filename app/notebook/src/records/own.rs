//! What a coach wrote beside the built-in lists.

use super::record;
use crate::{Code, Field, Head};
use serde::{Deserialize, Serialize};

/// A coach's own check item or drill card, or the order of the items. In the
/// club's notebook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Own {
    /// Common head.
    pub head: Head,
    /// What it is: "item", "card" or "arrangement"; never changes.
    pub what: Code,
    /// The thing as a whole, in the form that `coaching` writes and reads: it is
    /// edited as a whole, and the edit before stays in the history.
    pub content: Field<String>,
}

record!(Own: Own, edits: [content]);
