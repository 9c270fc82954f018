//! The phone's vibration, where a browser gives it.

use js_sys::{Array, Function, Reflect};
use wasm_bindgen::prelude::*;

fn vibrate_of(navigator: &web_sys::Navigator) -> Option<Function> {
    Reflect::get(navigator, &"vibrate".into())
        .ok()?
        .dyn_into()
        .ok()
}

/// Whether this browser can.
#[must_use]
pub fn can_vibrate() -> bool {
    web_sys::window().is_some_and(|window| vibrate_of(&window.navigator()).is_some())
}

/// Has the phone vibrate by this pattern of ms on and off, in place of any
/// pattern before; false where it cannot. An empty one ends it.
pub fn vibrate(pattern_ms: &[u32]) -> bool {
    let Some(window) = web_sys::window() else {
        return false;
    };
    let navigator = window.navigator();
    let pattern: Array = pattern_ms.iter().map(|ms| JsValue::from(*ms)).collect();
    vibrate_of(&navigator)
        .and_then(|vibrate| vibrate.call1(&navigator, &pattern).ok())
        .is_some_and(|done| done.is_truthy())
}
