//! Fingers, mouse and keys as the browser's input delivers them, each event
//! with a time of its own where the test gives one.

use crate::hands::{BUTTONS, FIND};
use crate::phone::Phone;
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// A place on the screen, in CSS pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
}

/// Keeps the page busy again and again, for up to 200 ms at a time as if at
/// random, until it is told to rest: whatever comes meanwhile has to wait.
const RESTLESS: &str = "
    let state = 20261125;
    const random = () => (state = (state * 48271) % 2147483647) / 2147483647;
    window.mayRest = false;
    const work = () => {
        if (window.mayRest) return;
        const end = performance.now() + 200 * random();
        while (performance.now() < end);
        setTimeout(work, 5);
    };
    setTimeout(work, 5);
";

/// Seconds since 1970, as the browser's input wants the time of an event.
fn since_1970(at: SystemTime) -> f64 {
    at.duration_since(UNIX_EPOCH)
        .unwrap_or(Duration::ZERO)
        .as_secs_f64()
}

fn timed(mut event: Value, at: Option<SystemTime>) -> Value {
    if let Some(at) = at {
        event["timestamp"] = json!(since_1970(at));
    }
    event
}

impl Phone {
    /// The middle of the shown button of that name, which is brought on the
    /// screen for it.
    ///
    /// # Errors
    /// When there is none in time.
    pub async fn spot_of(&self, name: &str) -> Result<Spot> {
        self.spot_where(FIND, vec![json!(BUTTONS), json!(name)])
            .await
    }

    /// The middle of the element that a script returns, which is brought on the screen
    /// for it: once it is there and stands still, as a finger waits for what it wants
    /// to touch.
    ///
    /// # Errors
    /// When it is not there in time.
    pub async fn spot_where(&self, script: &str, arguments: Vec<Value>) -> Result<Spot> {
        self.finds(&format!("for the place of {arguments:?}"), async || {
            let find = async || {
                let element = self.script(script, arguments.clone()).await?;
                match element.is_null() {
                    true => Ok(None),
                    false => self.middle_of(element).await,
                }
            };
            self.at_hand(find).await
        })
        .await
    }

    /// Where the middle of an element is once it stands still; `None` when it was drawn
    /// anew meanwhile, as what is no longer on the page has no place.
    async fn middle_of(&self, element: Value) -> Result<Option<Spot>> {
        let body = "
            const [element] = args;
            const frame = () => new Promise(requestAnimationFrame);
            const middle = () => {
                const {x, y, width, height} = element.getBoundingClientRect();
                return [x + width / 2, y + height / 2];
            };
            const box = element.getBoundingClientRect();
            if (box.top < 0 || box.bottom > innerHeight)
                element.scrollIntoView({block: 'center', behavior: 'instant'});
            let [x, y] = middle();
            for (let frames = 0; frames < 60; frames++) {
                await frame();
                const [now_x, now_y] = middle();
                if (now_x === x && now_y === y) break;
                [x, y] = [now_x, now_y];
            }
            return element.isConnected ? [x, y] : null;";
        let spot = self.script_async(body, vec![element]).await?;
        if spot.is_null() {
            return Ok(None);
        }
        Ok(Some(Spot {
            x: spot[0].as_f64().context("no place on the screen")?,
            y: spot[1].as_f64().context("no place on the screen")?,
        }))
    }

    /// Puts one finger on the screen: now, or at a time that the event then says.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn finger_down(&self, spot: Spot, at: Option<SystemTime>) -> Result<()> {
        self.fingers("touchStart", &[spot], at).await
    }

    /// Puts these fingers on the screen (those there already included).
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn fingers(&self, kind: &str, spots: &[Spot], at: Option<SystemTime>) -> Result<()> {
        let points: Vec<Value> = spots
            .iter()
            .enumerate()
            .map(|(id, spot)| json!({"x": spot.x, "y": spot.y, "id": id}))
            .collect();
        let event = json!({"type": kind, "touchPoints": points});
        self.devtools("Input.dispatchTouchEvent", timed(event, at))
            .await?;
        Ok(())
    }

    /// Takes all fingers off.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn fingers_off(&self, at: Option<SystemTime>) -> Result<()> {
        self.fingers("touchEnd", &[], at).await
    }

    /// Taps with one finger.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn finger_tap(&self, spot: Spot, at: Option<SystemTime>) -> Result<()> {
        self.finger_down(spot, at).await?;
        self.fingers_off(at.map(|at| at + Duration::from_millis(60)))
            .await
    }

    /// Presses the mouse's main button.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn mouse_down(&self, spot: Spot, at: Option<SystemTime>) -> Result<()> {
        self.mouse("mousePressed", spot, at).await
    }

    /// Lets the mouse's main button go.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn mouse_up(&self, spot: Spot, at: Option<SystemTime>) -> Result<()> {
        self.mouse("mouseReleased", spot, at).await
    }

    async fn mouse(&self, kind: &str, spot: Spot, at: Option<SystemTime>) -> Result<()> {
        let event = json!({"type": kind, "x": spot.x, "y": spot.y, "button": "left",
                           "clickCount": 1});
        self.devtools("Input.dispatchMouseEvent", timed(event, at))
            .await?;
        Ok(())
    }

    /// Keeps the page busy, so that input has to wait up to 200 ms for it.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn make_busy(&self) -> Result<()> {
        self.script(RESTLESS, vec![]).await?;
        Ok(())
    }

    /// Ends what [`Self::make_busy`] began.
    ///
    /// # Errors
    /// When there is no page.
    pub async fn let_rest(&self) -> Result<()> {
        self.script("window.mayRest = true", vec![]).await?;
        Ok(())
    }

    /// Presses a key and lets it go: "Tab", "Enter", or one character.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn press(&self, key: &str) -> Result<()> {
        self.key_down(key, false).await?;
        self.key_up(key).await
    }

    /// Presses a key; `again` when it is held and repeats.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn key_down(&self, key: &str, again: bool) -> Result<()> {
        let mut event = key_event("keyDown", key);
        event["autoRepeat"] = json!(again);
        self.devtools("Input.dispatchKeyEvent", event).await?;
        Ok(())
    }

    /// Lets a key go.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn key_up(&self, key: &str) -> Result<()> {
        self.devtools("Input.dispatchKeyEvent", key_event("keyUp", key))
            .await?;
        Ok(())
    }

    /// Types by the keyboard, into whatever has the focus.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn keys(&self, text: &str) -> Result<()> {
        for letter in text.chars() {
            self.press(letter.encode_utf8(&mut [0; 4])).await?;
        }
        Ok(())
    }
}

fn key_event(kind: &str, key: &str) -> Value {
    let (code, number, text) = match key {
        "Tab" => ("Tab", 9, ""),
        "Enter" => ("Enter", 13, "\r"),
        " " => ("Space", 32, " "),
        letter => ("", 0, letter),
    };
    let mut event = json!({"type": kind, "key": key, "code": code,
                           "windowsVirtualKeyCode": number});
    if kind == "keyDown" && !text.is_empty() {
        event["text"] = json!(text);
    }
    event
}
