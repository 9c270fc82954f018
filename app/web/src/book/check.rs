//! The swing check as its own page: an item a card or the whole list, what it says, and what is attached.

use crate::parts::line;
use leptos::prelude::*;

/// The page.
pub fn page() -> AnyView {
    line("line", "Not here yet.")
}
