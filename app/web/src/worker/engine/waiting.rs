//! When there is nothing to do: waiting for news, or for the next time to look.

use super::{Engine, FRESH_S, LOOK_EVERY_MS, PAUSE_MS};
use crate::worker::browser::{now_ms, now_s};
use crate::worker::error::Error;
use crate::worker::exchange::{self, Step};
use crate::worker::open::Open;

/// How long the relay may hold a request for news, in seconds.
const WAIT_S: u32 = 25;
/// As long as somebody may be about to join, in milliseconds.
const JOINING_MS: i32 = 2_000;

impl Engine {
    /// Pauses after a failure.
    pub(super) async fn pause(&mut self, error: &Error) {
        let asked_ms = match error {
            Error::Refused {
                wait_s: Some(wait_s),
                ..
            } => i32::try_from(*wait_s).map_or(PAUSE_MS.1, |s| s.saturating_mul(1000)),
            _ => 0,
        };
        // Half of it by chance, so that a club's phones do not come all at once.
        let chance = 0.5 + js_sys::Math::random() / 2.0;
        let pause_ms = (f64::from(self.pause_ms) * chance) as i32;
        self.line.wait(pause_ms.max(asked_ms)).await;
        self.pause_ms = self.pause_ms.saturating_mul(2).min(PAUSE_MS.1);
    }

    /// Waits for news of the notebook on the screen, or for the next time to look.
    pub(super) async fn wait_for_news(&mut self) {
        if self.line.has_news() {
            return;
        }
        if !self.on || self.paused {
            return self.line.wait(PAUSE_MS.1).await;
        }
        if self.is_someone_joining() {
            return self.line.wait(JOINING_MS).await;
        }
        let now_ms = now_ms();
        let watched = self.watched;
        let ready = |open: &&mut Open| open.trouble.is_none() && open.there.heads().is_some();
        let on_screen = self
            .notebooks
            .iter_mut()
            .find(|open| open.kept.subject.is_some() && open.kept.subject == watched)
            .filter(ready);
        let Some(open) = on_screen else {
            let next_ms = self.notebooks.iter().map(|open| open.look_ms);
            let next_ms = next_ms.fold(now_ms + LOOK_EVERY_MS, f64::min);
            let ms = (next_ms - now_ms).clamp(500.0, LOOK_EVERY_MS);
            return self.line.wait(ms as i32).await;
        };
        match exchange::read(&self.core, open, WAIT_S).await {
            Ok(step) => self.untold |= step == Step::Changed,
            // Stopped because there is something else to do, or the connection is
            // gone: then the next look says so.
            Err(_) => open.there.forget(),
        }
    }

    fn is_someone_joining(&self) -> bool {
        let now_s = now_s();
        let asks = self.invited.iter().any(|(_, invited)| {
            invited.words.is_some() && invited.request.is_none() && now_s < invited.made_s + FRESH_S
        });
        let is_joining = |open: &Open| open.is_joining() && open.look_ms == 0.0;
        asks || self.notebooks.iter().any(is_joining)
    }
}
