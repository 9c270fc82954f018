//! Keeping the screen on while it is asked for. A phone that cannot says so; one
//! that was put away and taken out again asks anew.

use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

thread_local! {
    /// The lock that is held; the browser lets it go with the page out of sight.
    static HELD: RefCell<Option<JsValue>> = const { RefCell::new(None) };
    static WANTED: Cell<bool> = const { Cell::new(false) };
    static LISTENS: Cell<bool> = const { Cell::new(false) };
}

/// Keeps the screen on from now on (or lets it go); whether the phone does so.
pub async fn keep_on(on: bool) -> bool {
    WANTED.set(on);
    if on {
        listen();
        return ask().await;
    }
    if let Some(held) = HELD.take() {
        // Already let go is as good.
        let _ = call(&held, "release", &[]);
    }
    true
}

/// Whether the screen is to be kept on.
pub fn is_wanted() -> bool {
    WANTED.get()
}

async fn ask() -> bool {
    let asked = || -> Result<Promise, JsValue> {
        let navigator = Reflect::get(&js_sys::global(), &"navigator".into())?;
        let lock = Reflect::get(&navigator, &"wakeLock".into())?;
        call(&lock, "request", &["screen".into()])?.dyn_into()
    };
    let Ok(promise) = asked() else { return false };
    match JsFuture::from(promise).await {
        Ok(lock) => {
            HELD.set(Some(lock));
            true
        }
        Err(_) => false,
    }
}

fn call(of: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    let function: Function = Reflect::get(of, &name.into())?.dyn_into()?;
    function.apply(of, &arguments.iter().collect())
}

/// Asks again whenever the page comes back into sight.
fn listen() {
    if LISTENS.replace(true) {
        return;
    }
    let Some(document) = web_sys::window().and_then(|window| window.document()) else {
        return;
    };
    let back = Closure::<dyn Fn()>::new(|| {
        if WANTED.get() {
            wasm_bindgen_futures::spawn_local(async {
                ask().await;
            });
        }
    });
    // Without it the screen goes off as it always did.
    let _ = document
        .add_event_listener_with_callback("visibilitychange", back.as_ref().unchecked_ref());
    // Lives as long as the page.
    back.forget();
}
