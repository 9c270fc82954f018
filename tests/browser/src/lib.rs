//! A real relay process and a real Chromium, for tests, figures and pictures.
//! What is under test is the built client; nothing here stands in for a part
//! of it.

mod disk;
mod filming;
mod fingers;
mod hands;
mod hearing;
mod judging;
mod phone;
mod places;
mod process;
mod relay;
mod sessions;
mod syncing;

pub use fingers::Spot;
pub use hands::FINGER_BACK;
pub use hearing::{MICROPHONE, RECORD_SOUND, worst_jitter_ms};
pub use judging::TIME_EVENT;
pub use phone::{Phone, Profile, Screen, Tab};
pub use places::{Look, Place};
pub use relay::{Relay, axe_source, built_client};
pub use sessions::{in_session, session_page};

use anyhow::Result;

/// Runs `work` to its end on a runtime of its own.
///
/// # Errors
/// Those of `work`.
pub fn on_runtime(work: impl Future<Output = Result<()>>) -> Result<()> {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?
        .block_on(work)
}
