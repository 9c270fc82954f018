//! A phone: Chromium with a profile of its own, the size of a phone's screen.
//! Power, pages, scripts and looking; what hands do is in `hands` and `fingers`.

use crate::process::{Process, is_alive, kill_tree};
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use thirtyfour::error::WebDriverErrorInner;
use thirtyfour::prelude::*;

/// What a phone keeps while it is off.
pub struct Profile(tempfile::TempDir);

impl Profile {
    /// A new phone's, with nothing on it.
    ///
    /// # Errors
    /// When no temporary folder can be made.
    pub fn new() -> Result<Self> {
        Ok(Self(tempfile::tempdir()?))
    }

    /// A copy of everything on it, as when one phone is restored from another. It must
    /// be off.
    ///
    /// # Errors
    /// When something cannot be copied.
    pub fn copied(&self) -> Result<Self> {
        let copy = Self::new()?;
        copy_folder(self.path(), copy.path())?;
        Ok(copy)
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

/// Links are left out: Chromium's name the process that had the profile open.
fn copy_folder(from: &Path, to: &Path) -> Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let (kind, to) = (entry.file_type()?, to.join(entry.file_name()));
        if kind.is_dir() {
            copy_folder(&entry.path(), &to)?;
        } else if kind.is_file() {
            std::fs::copy(entry.path(), to)?;
        }
    }
    Ok(())
}

/// Size of a screen, in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

impl Screen {
    /// A small phone.
    pub const SMALL: Self = Self::of(360, 640);
    /// The phone the home screen is made for.
    pub const PHONE: Self = Self::of(390, 844);
    /// A computer.
    pub const WIDE: Self = Self::of(1280, 800);

    /// Every size that the screens are made for.
    pub const ALL: [Self; 3] = [Self::SMALL, Self::PHONE, Self::WIDE];

    const fn of(width: u32, height: u32) -> Self {
        Self { width, height }
    }

    const fn is_phone(self) -> bool {
        self.width < 900
    }
}

/// How long a screen may take to show what is expected.
const PATIENCE: Duration = Duration::from_secs(10);

/// Keeps in the page what would otherwise only reach its console.
const RECORD_FAULTS: &str = "
    window.stridebookFaults = [];
    addEventListener('error', e => stridebookFaults.push(
        e.message ? `${e.message} ${e.error?.stack ?? ''}` : `not loaded: ${e.target?.src || e.target?.href}`), true);
    addEventListener('unhandledrejection', e => stridebookFaults.push(
        String(e.reason?.stack || e.reason)));
    addEventListener('securitypolicyviolation', e => stridebookFaults.push(
        `refused by policy: ${e.violatedDirective} ${e.blockedURI}`));
    const say = console.error;
    console.error = (...words) => { stridebookFaults.push(words.join(' ')); say(...words); };
";

/// Starts chromedriver on a port that it finds itself; its line that says which.
fn start_chromedriver() -> Result<(Process, String)> {
    let start = || {
        Process::start(
            Command::new("chromedriver").arg("--port=0"),
            "was started successfully on port ",
        )
    };
    // The port it finds for one kind of address may be taken for the other
    // ("Address already in use"): then it ends at once, and finds another.
    start().or_else(|_| start()).or_else(|_| start())
}

/// A tab of the browser.
#[derive(Debug, Clone)]
pub struct Tab(WindowHandle);

/// A running Chromium.
pub struct Phone {
    pub(crate) driver: WebDriver,
    // Ends after the driver's session.
    _chromedriver: Process,
}

impl Phone {
    /// Switches a phone on.
    ///
    /// # Errors
    /// When chromedriver or Chromium do not start.
    pub async fn on(profile: &Profile) -> Result<Self> {
        Self::on_with(profile, &[]).await
    }

    /// Switches a phone on whose browser is started with these words too.
    ///
    /// # Errors
    /// When chromedriver or Chromium do not start.
    pub async fn on_with(profile: &Profile, words: &[&str]) -> Result<Self> {
        let (chromedriver, line) = start_chromedriver()?;
        let port = line
            .rsplit(' ')
            .next()
            .map(|port| port.trim_end_matches('.'))
            .context("no port in chromedriver's line")?;
        let mut capabilities = DesiredCapabilities::chrome();
        for argument in [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--hide-scrollbars",
        ] {
            capabilities.add_arg(argument)?;
        }
        for word in words {
            capabilities.add_arg(word)?;
        }
        capabilities.add_arg(&format!("--user-data-dir={}", profile.path().display()))?;
        let driver = WebDriver::new(format!("http://127.0.0.1:{port}"), capabilities).await?;
        let phone = Self {
            driver,
            _chromedriver: chromedriver,
        };
        phone.set_up_page().await?;
        Ok(phone)
    }

    async fn set_up_page(&self) -> Result<()> {
        self.set_screen(Screen::PHONE).await?;
        self.before_pages(RECORD_FAULTS).await
    }

    /// What went wrong in the page since it was loaded: errors nobody caught,
    /// and whatever the security policy refused.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn faults(&self) -> Result<Vec<String>> {
        let faults = self
            .script("return window.stridebookFaults || []", vec![])
            .await?;
        Ok(serde_json::from_value(faults)?)
    }

    /// Switches it off; the profile keeps what was saved.
    ///
    /// # Errors
    /// When the session cannot be ended, or something went wrong in the page.
    pub async fn off(self) -> Result<()> {
        let faults = self.faults().await?;
        if !faults.is_empty() {
            bail!("the page had faults: {faults:#?}");
        }
        self.driver.quit().await?;
        Ok(())
    }

    /// Takes the power away: every process of the browser is killed at once, as
    /// when the phone dies. The profile keeps what had reached it.
    ///
    /// # Errors
    /// When the browser's processes cannot be found or killed.
    pub async fn kill(self) -> Result<()> {
        let capability = self.driver.handle().capabilities().get("goog:processID");
        let pid = capability
            .and_then(Value::as_u64)
            .and_then(|pid| u32::try_from(pid).ok())
            .context("chromedriver does not name the browser's process")?;
        kill_tree(pid)?;
        // There is no session left to end.
        self.driver.leak()?;
        let start = Instant::now();
        while is_alive(pid) {
            if start.elapsed() > PATIENCE {
                bail!("the browser, process {pid}, outlived its kill");
            }
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        Ok(())
    }

    /// Sets the size of the screen (touch included, as on a phone).
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn set_screen(&self, screen: Screen) -> Result<()> {
        self.devtools(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": screen.width, "height": screen.height, "deviceScaleFactor": 2,
                   "mobile": screen.is_phone()}),
        )
        .await?;
        self.devtools(
            "Emulation.setTouchEmulationEnabled",
            json!({"enabled": screen.is_phone(), "maxTouchPoints": 5}),
        )
        .await?;
        Ok(())
    }

    /// Slows the page's processor down `times` times.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn slow_down(&self, times: f64) -> Result<()> {
        self.devtools("Emulation.setCPUThrottlingRate", json!({"rate": times}))
            .await?;
        Ok(())
    }

    /// Makes the page believe that the phone is set to dark (or light).
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn prefer_dark(&self, dark: bool) -> Result<()> {
        let value = if dark { "dark" } else { "light" };
        let features = json!([{"name": "prefers-color-scheme", "value": value}]);
        self.devtools("Emulation.setEmulatedMedia", json!({"features": features}))
            .await?;
        Ok(())
    }

    /// Sends a command of the browser's own protocol.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Result<Value> {
        Ok(self.driver.cdp().send_raw(command, parameters).await?)
    }

    /// Opens an address.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub async fn open(&self, address: &str) -> Result<()> {
        Ok(self.driver.goto(address).await?)
    }

    /// Loads the page again.
    ///
    /// # Errors
    /// When it cannot be loaded.
    pub async fn reload(&self) -> Result<()> {
        Ok(self.driver.refresh().await?)
    }

    /// Opens `address` in a fresh tab and looks at that one from now on.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub async fn fresh_tab(&self, address: &str) -> Result<()> {
        self.blank_tab().await?;
        self.open(address).await
    }

    /// Opens a fresh tab with nothing in it and looks at that one from now on.
    ///
    /// # Errors
    /// When it cannot be opened.
    pub async fn blank_tab(&self) -> Result<()> {
        let tab = self.driver.new_tab().await?;
        self.driver.switch_to_window(tab).await?;
        self.set_up_page().await
    }

    /// The tab looked at.
    ///
    /// # Errors
    /// When it is gone.
    pub async fn tab(&self) -> Result<Tab> {
        Ok(Tab(self.driver.window().await?))
    }

    /// Looks at another tab.
    ///
    /// # Errors
    /// When it is gone.
    pub async fn look_at(&self, tab: &Tab) -> Result<()> {
        self.driver.switch_to_window(tab.0.clone()).await?;
        self.devtools("Page.bringToFront", json!({})).await?;
        Ok(())
    }

    /// Closes the tab looked at and looks at `other`.
    ///
    /// # Errors
    /// When either is gone.
    pub async fn close_for(&self, other: &Tab) -> Result<()> {
        self.driver.close_window().await?;
        self.look_at(other).await
    }

    /// Has `script` run in every page opened from now on in this tab, before
    /// the page's own.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn before_pages(&self, script: &str) -> Result<()> {
        self.devtools(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({"source": script}),
        )
        .await?;
        Ok(())
    }

    /// Runs a script in the page; what it returns.
    ///
    /// # Errors
    /// When the script throws.
    pub async fn script(&self, script: &str, arguments: Vec<Value>) -> Result<Value> {
        let answer = self.driver.execute(script, arguments).await?;
        Ok(answer.json().clone())
    }

    /// Runs the body of an asynchronous function in the page; what it returns.
    ///
    /// # Errors
    /// When the script throws.
    pub async fn script_async(&self, body: &str, arguments: Vec<Value>) -> Result<Value> {
        let script = format!(
            "const done = arguments[arguments.length - 1]; const args = [...arguments];
             (async () => {{ {body} }})().then(value => done({{value}}), \
             error => done({{error: String(error && error.stack || error)}}));"
        );
        let answer = self.driver.execute_async(script, arguments).await?;
        let answer = answer.json();
        match answer.get("error") {
            Some(error) => bail!("the page's script failed: {error}"),
            None => Ok(answer["value"].clone()),
        }
    }

    /// Everything the page shows.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn text(&self) -> Result<String> {
        let text = self
            .script("return document.body.innerText", vec![])
            .await?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// Waits until the page shows `text`.
    ///
    /// # Errors
    /// When it does not within ten seconds; says what it shows instead.
    pub async fn sees(&self, text: &str) -> Result<()> {
        self.waits_for(&format!("to see {text:?}"), async || {
            Ok(self.text().await?.contains(text))
        })
        .await
    }

    /// Waits until the page does not show `text`.
    ///
    /// # Errors
    /// When it still does after ten seconds.
    pub async fn no_longer_sees(&self, text: &str) -> Result<()> {
        self.waits_for(&format!("to see {text:?} no longer"), async || {
            Ok(!self.text().await?.contains(text))
        })
        .await
    }

    /// Waits until a script in the page returns true.
    ///
    /// # Errors
    /// When it does not within ten seconds.
    pub async fn holds(&self, script: &str) -> Result<()> {
        self.waits_for(script, async || {
            Ok(self.script(script, vec![]).await? == Value::Bool(true))
        })
        .await
    }

    /// Waits until `is_so`; `what` is waited for, as a message says it.
    ///
    /// # Errors
    /// When it is not so within ten seconds; says what the page shows instead.
    pub async fn waits_for(&self, what: &str, is_so: impl AsyncFn() -> Result<bool>) -> Result<()> {
        self.finds(what, async || Ok(is_so().await?.then_some(())))
            .await
    }

    /// Looks until there is something; what was found.
    pub(crate) async fn finds<T>(
        &self,
        what: &str,
        look: impl AsyncFn() -> Result<Option<T>>,
    ) -> Result<T> {
        let start = Instant::now();
        loop {
            if let Some(found) = look().await? {
                return Ok(found);
            }
            if start.elapsed() > PATIENCE {
                let shown = self.text().await.unwrap_or_default();
                let faults = self.faults().await.unwrap_or_default();
                bail!("waited in vain {what}; faults: {faults:#?}; the page shows:\n{shown}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// Does something with an element that `act` finds; anew when it was drawn anew, or
    /// had moved under something else, between finding and touching.
    pub(crate) async fn at_hand<T>(&self, act: impl AsyncFn() -> Result<T>) -> Result<T> {
        let start = Instant::now();
        loop {
            match act().await {
                Err(error) if is_gone(&error) && start.elapsed() < PATIENCE => {}
                done => return done,
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// A picture of what the screen shows, as PNG.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn picture(&self, whole_page: bool) -> Result<Vec<u8>> {
        use base64::Engine as _;
        let shot = self
            .devtools(
                "Page.captureScreenshot",
                json!({"format": "png", "captureBeyondViewport": whole_page}),
            )
            .await?;
        let data = shot["data"].as_str().context("no picture")?;
        Ok(base64::engine::general_purpose::STANDARD.decode(data)?)
    }

    /// Waits until the app's files are all on the phone.
    ///
    /// # Errors
    /// When they are not within ten seconds.
    pub async fn ready_offline(&self) -> Result<()> {
        self.waits_for("for the offline shell", async || {
            let state = self
                .script_async(
                    "const r = await navigator.serviceWorker.getRegistration();
                     return Boolean(r && r.active && navigator.serviceWorker.controller);",
                    vec![],
                )
                .await?;
            Ok(state == Value::Bool(true))
        })
        .await
    }
}

/// Whether an element was gone before it could be touched; nothing was done to it then.
fn is_gone(error: &anyhow::Error) -> bool {
    let error = error.downcast_ref::<WebDriverError>();
    error.is_some_and(|error| {
        matches!(
            error.as_inner(),
            WebDriverErrorInner::StaleElementReference(_)
                | WebDriverErrorInner::ElementClickIntercepted(_)
        )
    })
}
