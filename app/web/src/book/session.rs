//! A practice, ball by ball.

use crate::parts::line;
use leptos::prelude::*;

/// The page.
pub fn page() -> AnyView {
    line("line", "Not here yet.")
}
