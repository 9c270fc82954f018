//! A phone: Chromium with a profile of its own, the size of a phone's screen.

use crate::process::Process;
use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
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

    fn path(&self) -> &Path {
        self.0.path()
    }
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

    const fn of(width: u32, height: u32) -> Self {
        Self { width, height }
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

/// A running Chromium.
pub struct Phone {
    driver: WebDriver,
    // Ends after the driver's session.
    _chromedriver: Process,
}

impl Phone {
    /// Switches a phone on.
    ///
    /// # Errors
    /// When chromedriver or Chromium do not start.
    pub async fn on(profile: &Profile) -> Result<Self> {
        let (chromedriver, line) = Process::start(
            Command::new("chromedriver").arg("--port=0"),
            "was started successfully on port ",
        )?;
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
        self.devtools(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({"source": RECORD_FAULTS}),
        )
        .await?;
        Ok(())
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

    /// Sets the size of the screen (touch included, as on a phone).
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn set_screen(&self, screen: Screen) -> Result<()> {
        self.devtools(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": screen.width, "height": screen.height, "deviceScaleFactor": 2,
                   "mobile": screen.width < 900}),
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
        let tab = self.driver.new_tab().await?;
        self.driver.switch_to_window(tab).await?;
        self.set_up_page().await?;
        self.open(address).await
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

    async fn waits_for(&self, what: &str, is_so: impl AsyncFn() -> Result<bool>) -> Result<()> {
        let start = Instant::now();
        loop {
            if is_so().await? {
                return Ok(());
            }
            if start.elapsed() > PATIENCE {
                let shown = self.text().await.unwrap_or_default();
                let faults = self.faults().await.unwrap_or_default();
                bail!("waited in vain {what}; faults: {faults:#?}; the page shows:\n{shown}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// Finds the one shown element with a role's tag and an accessible name.
    async fn named(&self, tags: &[&str], name: &str) -> Result<WebElement> {
        let start = Instant::now();
        loop {
            for tag in tags {
                for element in self.driver.find_all(By::Tag(*tag)).await? {
                    // An element may leave the page between two questions.
                    let shown = element.is_displayed().await.unwrap_or(false);
                    if shown && self.name_of(&element).await.unwrap_or_default() == name {
                        return Ok(element);
                    }
                }
            }
            if start.elapsed() > PATIENCE {
                let shown = self.text().await?;
                bail!("no {tags:?} is named {name:?}; the page shows:\n{shown}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// The accessible name as the browser computes it.
    async fn name_of(&self, element: &WebElement) -> Result<String> {
        let name = self
            .script(
                "const e = arguments[0];
                 const text = e.getAttribute('aria-label')
                   || [...(e.labels || [])].map(l => l.innerText).join(' ') || e.innerText;
                 return text.replace(/\\s+/g, ' ').trim();",
                vec![element.to_json()?],
            )
            .await?;
        Ok(name.as_str().unwrap_or_default().to_owned())
    }

    /// Touches the button (or disclosure) of that name.
    ///
    /// # Errors
    /// When there is none.
    pub async fn touch(&self, name: &str) -> Result<()> {
        let button = self.named(&["button", "summary"], name).await?;
        button.scroll_into_view().await?;
        Ok(button.click().await?)
    }

    /// Touches a button inside the group of that name.
    ///
    /// # Errors
    /// When there is none.
    pub async fn touch_in(&self, group: &str, name: &str) -> Result<()> {
        let path = format!(
            "//*[@role='group' and @aria-label=\"{group}\"]//button[normalize-space()=\"{name}\"]"
        );
        let button = self.driver.query(By::XPath(path)).first().await?;
        button.scroll_into_view().await?;
        Ok(button.click().await?)
    }

    /// Whether a button inside a group is the pressed one.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn is_pressed_in(&self, group: &str, name: &str) -> Result<bool> {
        let script = "const [group, name] = arguments;
             return [...document.querySelectorAll('[role=group]')]
               .filter(g => g.getAttribute('aria-label') === group)
               .some(g => [...g.querySelectorAll('button[aria-pressed=true]')]
                 .some(b => b.innerText.includes(name)));";
        let pressed = self.script(script, vec![json!(group), json!(name)]).await?;
        Ok(pressed == Value::Bool(true))
    }

    /// Waits until a button inside a group is the pressed one.
    ///
    /// # Errors
    /// When it is not within ten seconds.
    pub async fn is_answered(&self, group: &str, name: &str) -> Result<()> {
        self.waits_for(&format!("for {name:?} in {group:?}"), async || {
            self.is_pressed_in(group, name).await
        })
        .await
    }

    /// Types into the field whose label begins with `label`, in place of what
    /// stands there, and leaves the field.
    ///
    /// # Errors
    /// When there is none.
    pub async fn type_into(&self, label: &str, text: &str) -> Result<()> {
        let field = self.field(label).await?;
        // Set as the browser's own input does, so that long texts and signs
        // outside the keyboard pass too.
        self.script(
            "const [field, text] = arguments; field.focus(); field.value = text;
             field.dispatchEvent(new Event('input', {bubbles: true}));
             field.dispatchEvent(new Event('change', {bubbles: true}));",
            vec![field.to_json()?, json!(text)],
        )
        .await?;
        Ok(())
    }

    /// What stands in the field whose label begins with `label`.
    ///
    /// # Errors
    /// When there is none.
    pub async fn value_of(&self, label: &str) -> Result<String> {
        let field = self.field(label).await?;
        Ok(field.prop("value").await?.unwrap_or_default())
    }

    async fn field(&self, label: &str) -> Result<WebElement> {
        let path = format!(
            "//input[@id=//label[starts-with(normalize-space(), \"{label}\")]/@for] | \
             //label[starts-with(normalize-space(), \"{label}\")]//input"
        );
        Ok(self.driver.query(By::XPath(path)).first().await?)
    }

    /// Picks from the selection of that label.
    ///
    /// # Errors
    /// When there is no such choice.
    pub async fn pick(&self, label: &str, option: &str) -> Result<()> {
        let path = format!(
            "//label[starts-with(normalize-space(), \"{label}\")]\
             //option[normalize-space()=\"{option}\"]"
        );
        let option = self.driver.query(By::XPath(path)).first().await?;
        Ok(option.click().await?)
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

    /// Adds a hitter from a home screen that has none yet.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn add_first_hitter(&self, name: &str) -> Result<()> {
        self.sees("Add a hitter").await?;
        self.touch("Add a hitter").await?;
        self.type_into("First name or initials", name).await?;
        self.touch("Save hitter").await?;
        self.sees(name).await?;
        self.sees("Tap at lift").await
    }

    /// Taps the count button as a finger does: `pause` between lift and contact.
    ///
    /// # Errors
    /// When a step fails.
    pub async fn count_once(&self, pause: Duration) -> Result<()> {
        self.touch("Tap at lift").await?;
        tokio::time::sleep(pause).await;
        self.touch("Tap at contact").await?;
        self.sees("Tap at lift").await
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
