//! A clip in the page: an address for its bytes, and seeking to a frame. The frame
//! that is really shown is told by the browser, where it can tell.

use js_sys::{Function, Reflect};
use wasm_bindgen::prelude::*;
use web_sys::{Blob, HtmlVideoElement, Url};

/// An address for what a blob holds; [`forget_address`] must follow.
pub fn address_of(blob: &Blob) -> Option<String> {
    Url::create_object_url_with_blob(blob).ok()
}

/// Lets go of an address, so that its bytes can be freed.
pub fn forget_address(address: &str) {
    // Only an address that is no address of ours is refused.
    let _ = Url::revoke_object_url(address);
}

/// Goes to a time of the clip, seconds, and tells by `told` the time of the frame
/// that is then shown, once it is. `false` where the browser cannot tell.
pub fn seek(video: &HtmlVideoElement, to_s: f64, told: impl FnOnce(f64) + 'static) -> bool {
    let asked = Reflect::get(video, &"requestVideoFrameCallback".into());
    let asked = asked
        .ok()
        .and_then(|asked| asked.dyn_into::<Function>().ok());
    let tells = asked.is_some_and(|asked| {
        let on_frame = Closure::once_into_js(move |_now: JsValue, frame: JsValue| {
            let time = Reflect::get(&frame, &"mediaTime".into()).ok();
            if let Some(time_s) = time.and_then(|time| time.as_f64()) {
                told(time_s);
            }
        });
        asked.call1(video, &on_frame).is_ok()
    });
    video.set_current_time(to_s);
    tells
}
