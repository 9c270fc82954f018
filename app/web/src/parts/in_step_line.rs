//! How far syncing is, in a line that stays up to date.

use super::live_line;
use crate::device::sync::Sync;
use crate::device::sync_messages::SyncState;
use crate::words::{counted, when_ms};
use leptos::prelude::*;

/// The line.
pub fn in_step_line(class: &'static str) -> AnyView {
    let sync = expect_context::<Sync>();
    live_line(class, move || in_words(&sync.state.get()))
}

/// How far syncing is, for the user.
fn in_words(state: &SyncState) -> String {
    match state {
        SyncState::OnThisPhone => "All on this phone.".to_owned(),
        SyncState::Waiting { changes: 0, .. } => {
            "Nothing to send; waiting for another phone or the server.".to_owned()
        }
        SyncState::Waiting { changes, reached } => {
            let waiting = counted(*changes as usize, "change waits", "changes wait");
            match reached {
                true => format!("{waiting} to be sent."),
                false => {
                    format!("{waiting} to be sent; the server does not answer. All is kept here.")
                }
            }
        }
        SyncState::InStep { at_ms } => format!("In step, {}.", when_ms(*at_ms)),
        SyncState::CatchingUp { done, of } => format!("Catching up: {done} of {of}."),
        SyncState::Paused { done, of } => {
            format!("Stopped at {done} of {of}; what has come is kept.")
        }
        SyncState::Attention { sentence } => sentence.clone(),
    }
}
