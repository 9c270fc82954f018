//! What the page remembers on this phone from visit to visit.

use gloo_storage::{LocalStorage, Storage as _};
use serde::Serialize;
use serde::de::DeserializeOwned;

fn key(what: &str) -> String {
    format!("stridebook.tempo-{what}")
}

/// What was kept.
pub fn kept<T: DeserializeOwned>(what: &str) -> Option<T> {
    LocalStorage::get(key(what)).ok()
}

/// Keeps it. A phone without room forgets it with the visit; that is not worth a
/// message.
pub fn keep<T: Serialize>(what: &str, value: T) {
    let _ = LocalStorage::set(key(what), value);
}
