//! The roster: hitters and groups.

use crate::parts::line;
use leptos::prelude::*;

/// The page.
pub fn page() -> AnyView {
    line("line", "Not here yet.")
}
