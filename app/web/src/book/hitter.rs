//! One hitter's page: where the work is, what was tried, what changed.

use crate::parts::line;
use leptos::prelude::*;

/// The page.
pub fn page() -> AnyView {
    line("line", "Not here yet.")
}
