//! Drill cards: which answer what was found, and all of them.

use crate::parts::line;
use leptos::prelude::*;

/// The page.
pub fn page() -> AnyView {
    line("line", "Not here yet.")
}
