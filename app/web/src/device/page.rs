//! Whether the page is in front, waiting for it to be painted, and listening to its
//! document and window.

use js_sys::Promise;
use leptos::prelude::{request_animation_frame, set_timeout};
use std::time::Duration;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{EventTarget, VisibilityState};

/// Whether the page is hidden: another app in front, the phone locked.
#[must_use]
pub fn is_hidden() -> bool {
    let document = web_sys::window().and_then(|window| window.document());
    document.is_some_and(|document| document.visibility_state() == VisibilityState::Hidden)
}

/// Does `then` once what changed now is painted.
pub fn after_paint(then: impl FnOnce() + 'static) {
    request_animation_frame(move || set_timeout(then, Duration::ZERO));
}

/// Waits until what changed now is painted.
pub async fn painted() {
    let painted = Promise::new(&mut |resolve, _| {
        after_paint(move || drop(resolve.call0(&JsValue::NULL)));
    });
    // It is never refused.
    let _ = JsFuture::from(painted).await;
}

fn target(of_document: bool) -> Option<EventTarget> {
    let window = web_sys::window()?;
    match of_document {
        true => Some(window.document()?.into()),
        false => Some(window.into()),
    }
}

/// Listens to the document, or else to the window.
pub fn listen(of_document: bool, event: &str, listener: &JsValue) {
    if let Some(target) = target(of_document) {
        // Fails for no name of an event.
        let _ = target.add_event_listener_with_callback(event, listener.unchecked_ref());
    }
}

/// Listens no longer.
pub fn deafen(of_document: bool, event: &str, listener: &JsValue) {
    if let Some(target) = target(of_document) {
        let _ = target.remove_event_listener_with_callback(event, listener.unchecked_ref());
    }
}
