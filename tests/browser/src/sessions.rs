//! A session under way: begun, its fan touched, its balls on disk.

use crate::phone::{Phone, Profile};
use crate::relay::Relay;
use crate::{Spot, on_runtime};
use anyhow::Result;
use serde_json::{Value, json};

/// The page of the log.
#[must_use]
pub fn session_page(relay: &Relay) -> String {
    format!("{}/book/session", relay.address())
}

/// Runs `work` on a phone where a session with one hitter has begun.
///
/// # Errors
/// Those of `work`, and of the phone.
pub fn in_session(work: impl AsyncFnOnce(&Phone, &Relay) -> Result<()>) -> Result<()> {
    on_runtime(async {
        let relay = Relay::start()?;
        let profile = Profile::new()?;
        let phone = Phone::on(&profile).await?;
        phone.begin_session(&relay).await?;
        work(&phone, &relay).await?;
        phone.off().await
    })
}

impl Phone {
    /// Adds a hitter and begins a session.
    ///
    /// # Errors
    /// When the page does not show what it should.
    pub async fn begin_session(&self, relay: &Relay) -> Result<()> {
        self.open(relay.address()).await?;
        self.add_first_hitter("Wren").await?;
        self.open(&session_page(relay)).await?;
        self.sees("Who hits?").await?;
        self.touch("Begin with 1 hitter").await?;
        self.sees("0 balls this turn").await
    }

    /// The middle of a field of the fan, by row (0 pop, 3 ground) and sector (0 left).
    ///
    /// # Errors
    /// When it is not on the screen.
    pub async fn fan_spot(&self, row: usize, sector: usize) -> Result<Spot> {
        let field = "return document.getElementById(arguments[0])";
        self.spot_where(field, vec![json!(format!("fan-{row}-{sector}"))])
            .await
    }

    /// One touch on the fan.
    ///
    /// # Errors
    /// As [`Phone::fan_spot`].
    pub async fn ball(&self, row: usize, sector: usize) -> Result<()> {
        let at = self.fan_spot(row, sector).await?;
        self.finger_tap(at, None).await
    }

    /// The contacts on disk that are not removed, in order of making.
    ///
    /// # Errors
    /// When the disk cannot be read.
    pub async fn balls(&self) -> Result<Vec<Value>> {
        let mut all = self.stored("contacts").await?;
        all.retain(|contact| contact["head"]["removed"]["value"] != json!(true));
        Ok(all)
    }

    /// Waits until there are so many balls on disk; gives them.
    ///
    /// # Errors
    /// When there are not.
    pub async fn balls_are(&self, n: usize) -> Result<Vec<Value>> {
        self.waits_for(&format!("for {n} balls on disk"), async || {
            Ok(self.balls().await?.len() == n)
        })
        .await?;
        self.balls().await
    }
}
