//! The screens of the app, and how they can look.

use crate::phone::Phone;
use anyhow::Result;
use serde_json::Value;
use thirtyfour::prelude::*;

/// A screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Everything at rest.
    Home,
    /// The hitters, opened.
    Hitters,
    /// The machine set-up, opened.
    SetUp,
    /// The swing check, opened.
    SwingCheck,
    /// The count, opened.
    Count,
    /// Settings, opened.
    Settings,
}

impl Place {
    /// Every screen.
    pub const ALL: [Self; 6] = [
        Self::Home,
        Self::Hitters,
        Self::SetUp,
        Self::SwingCheck,
        Self::Count,
        Self::Settings,
    ];

    /// A name for files and messages.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Home => "home",
            Self::Hitters => "hitters",
            Self::SetUp => "set-up",
            Self::SwingCheck => "swing-check",
            Self::Count => "count",
            Self::Settings => "settings",
        }
    }

    /// Its heading; none at home.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Home => "",
            Self::Hitters => "Hitter",
            Self::SetUp => "Machine set-up",
            Self::SwingCheck => "Swing check",
            Self::Count => "Count",
            Self::Settings => "Settings",
        }
    }
}

/// How the app can look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// The phone is set to light.
    Light,
    /// The phone is set to dark.
    Dark,
    /// Bright sun is chosen in the settings.
    Sun,
}

impl Look {
    /// Every look.
    pub const ALL: [Self; 3] = [Self::Light, Self::Dark, Self::Sun];

    /// A name for files and messages.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
            Self::Sun => "sun",
        }
    }
}

impl Phone {
    /// Opens a panel from home by its own button, and waits until it stands.
    ///
    /// # Errors
    /// When it does not open.
    pub async fn open_place(&self, place: Place) -> Result<()> {
        match place {
            Place::Home => {}
            Place::Hitters => {
                let bar = By::Css(".hitter-bar .hitter-now");
                self.driver.query(bar).first().await?.click().await?;
            }
            Place::Settings => self.touch("Settings").await?,
            opened => self.touch(&format!("Open {}", opened.title())).await?,
        }
        if place != Place::Home {
            self.holds("return document.querySelectorAll('.panel.opened').length === 1")
                .await?;
        }
        self.stands_still().await
    }

    /// Closes the opened panel by its own button, and waits for home.
    ///
    /// # Errors
    /// When it does not close.
    pub async fn close_place(&self, place: Place) -> Result<()> {
        if place != Place::Home {
            self.touch(&format!("Close {}", place.title())).await?;
            self.holds("return document.querySelector('.panel.opened') === null")
                .await?;
        }
        self.stands_still().await
    }

    /// Opens the book's page of sharing from the settings, as a user finds it.
    ///
    /// # Errors
    /// When it does not open.
    pub async fn open_sharing(&self) -> Result<()> {
        self.open_place(Place::Settings).await?;
        self.touch("Sharing").await?;
        self.sees("What is shared is sealed").await
    }

    /// Goes from a page of the book to the first page, at rest.
    ///
    /// # Errors
    /// When it does not come up.
    pub async fn back_to_the_cage(&self) -> Result<()> {
        self.touch("Cage").await?;
        self.holds("return document.querySelector('.page.at-rest .panel.count') !== null")
            .await
    }

    /// Makes the app look so, from home.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn show(&self, look: Look) -> Result<()> {
        self.prefer_dark(look == Look::Dark).await?;
        let choice = if look == Look::Sun { "Sun" } else { "Phone" };
        self.open_place(Place::Settings).await?;
        self.touch_in("Screen", choice).await?;
        self.is_answered("Screen", choice).await?;
        self.close_place(Place::Settings).await
    }

    /// Waits until nothing on the page moves and two frames have been drawn.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn stands_still(&self) -> Result<()> {
        self.waits_for("for the page to stand still", async || {
            let still = self
                .script_async(
                    "await new Promise(done => requestAnimationFrame(
                         () => requestAnimationFrame(done)));
                     return document.getAnimations().every(a => a.playState === 'finished');",
                    vec![],
                )
                .await?;
            Ok(still == Value::Bool(true))
        })
        .await
    }
}
