//! Keeping the screen on while a set runs. Browsers let go of it whenever the
//! page is hidden; it is asked for again when the page comes back.

use js_sys::{Function, Promise, Reflect};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};

/// A screen that stays on; until it is dropped.
pub struct WakeLock {
    sentinel: Rc<RefCell<Option<JsValue>>>,
    on_return: Closure<dyn Fn()>,
}

impl WakeLock {
    /// Asks for it, now and whenever the page comes back to the front. Where a
    /// browser cannot, the screen goes dark as the phone is set.
    #[must_use]
    pub fn on() -> Self {
        let sentinel = Rc::new(RefCell::new(None));
        ask_into(sentinel.clone());
        let again = sentinel.clone();
        let on_return = Closure::<dyn Fn()>::new(move || {
            if !super::page::is_hidden() {
                ask_into(again.clone());
            }
        });
        super::page::listen(true, "visibilitychange", on_return.as_ref());
        Self {
            sentinel,
            on_return,
        }
    }

    /// Whether this browser can.
    #[must_use]
    pub fn is_known() -> bool {
        request().is_some()
    }
}

impl Drop for WakeLock {
    fn drop(&mut self) {
        super::page::deafen(true, "visibilitychange", self.on_return.as_ref());
        if let Some(sentinel) = self.sentinel.take() {
            let release = Reflect::get(&sentinel, &"release".into())
                .ok()
                .and_then(|release| release.dyn_into::<Function>().ok());
            if let Some(release) = release {
                // Let go already: so much the better.
                let _ = release.call0(&sentinel);
            }
        }
    }
}

/// `navigator.wakeLock` and its `request`; web-sys has them behind its flag for
/// unstable APIs.
fn request() -> Option<(JsValue, Function)> {
    let navigator = web_sys::window()?.navigator();
    let lock = Reflect::get(&navigator, &"wakeLock".into()).ok()?;
    let request = Reflect::get(&lock, &"request".into()).ok()?;
    Some((lock, request.dyn_into().ok()?))
}

fn ask_into(sentinel: Rc<RefCell<Option<JsValue>>>) {
    spawn_local(async move {
        let Some((lock, request)) = request() else {
            return;
        };
        if let Ok(asked) = request.call1(&lock, &"screen".into())
            && let Ok(given) = JsFuture::from(asked.unchecked_into::<Promise>()).await
        {
            sentinel.replace(Some(given));
        }
    });
}
