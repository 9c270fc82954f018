//! The phone's motion: acceleration and turning, as events give them. What they
//! mean for a swing is a rule of `coaching`.

use super::page;
use js_sys::{Function, Promise, Reflect};
use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::DeviceMotionEvent;

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Time of the event, ms since the page was opened.
    pub at_ms: f64,
    /// Acceleration with gravity along the phone's axes, m/s2.
    pub acceleration_m_s2: [f64; 3],
    /// Turning about them, deg/s.
    pub turning_deg_s: [f64; 3],
}

/// Sensors that are on, until dropped.
pub struct Motion {
    listener: Closure<dyn Fn(DeviceMotionEvent)>,
    seen: Rc<Cell<bool>>,
}

const REFUSED: &str = "The motion sensors were refused, so nothing is sensed. Counting by two taps \
                       goes on. To allow them later: the browser's settings for this page.";
/// What to say when no reading has come.
pub const MISSING: &str = "This phone gives no motion readings to the page. Counting by two taps goes \
                           on.";

impl Motion {
    /// Asks for the sensors (on browsers that want it asked, only from a touch)
    /// and hands on each reading.
    ///
    /// # Errors
    /// Why not, as a sentence for the user.
    pub async fn on(sensed: Rc<dyn Fn(Reading)>) -> Result<Self, &'static str> {
        let kind = web_sys::window()
            .and_then(|window| Reflect::get(&window, &"DeviceMotionEvent".into()).ok())
            .filter(|kind| !kind.is_undefined())
            .ok_or(MISSING)?;
        let ask = Reflect::get(&kind, &"requestPermission".into())
            .ok()
            .and_then(|ask| ask.dyn_into::<Function>().ok());
        if let Some(ask) = ask {
            let asked = ask.call0(&kind).map_err(|_| REFUSED)?;
            let answer = JsFuture::from(asked.unchecked_into::<Promise>()).await;
            if answer.ok().and_then(|answer| answer.as_string()).as_deref() != Some("granted") {
                return Err(REFUSED);
            }
        }
        let seen = Rc::new(Cell::new(false));
        let has_seen = seen.clone();
        let listener =
            Closure::<dyn Fn(DeviceMotionEvent)>::new(move |event: DeviceMotionEvent| {
                if let Some(reading) = reading(&event) {
                    has_seen.set(true);
                    sensed(reading);
                }
            });
        page::listen(false, "devicemotion", listener.as_ref());
        Ok(Self { listener, seen })
    }

    /// Whether any reading has come: a phone without sensors sends events
    /// without numbers, or none.
    #[must_use]
    pub fn has_come(&self) -> bool {
        self.seen.get()
    }
}

impl Drop for Motion {
    fn drop(&mut self) {
        page::deafen(false, "devicemotion", self.listener.as_ref());
    }
}

/// `None` when a number is missing: half a reading is none.
fn reading(event: &DeviceMotionEvent) -> Option<Reading> {
    let pull = event.acceleration_including_gravity()?;
    let turn = event.rotation_rate()?;
    Some(Reading {
        at_ms: event.time_stamp(),
        acceleration_m_s2: [pull.x()?, pull.y()?, pull.z()?],
        turning_deg_s: [turn.alpha()?, turn.beta()?, turn.gamma()?],
    })
}
