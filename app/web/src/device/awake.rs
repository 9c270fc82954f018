//! Keeping the screen on while anything on the page asks for it. A phone that cannot
//! says so; browsers let go of the screen with the page out of sight, and it is asked
//! for again when the page comes back.

use super::page;
use js_sys::{Function, Promise, Reflect};
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};

thread_local! {
    /// The browser's lock, while it gives one.
    static HELD: RefCell<Option<JsValue>> = const { RefCell::new(None) };
    /// How many ask for it.
    static WISHES: Cell<u32> = const { Cell::new(0) };
    static LISTENS: Cell<bool> = const { Cell::new(false) };
    /// The wish that stands until it is taken back, from page to page.
    static STANDING: RefCell<Option<Awake>> = const { RefCell::new(None) };
}

/// A wish for the screen to stay on; until it is dropped.
pub struct Awake(());

impl Awake {
    /// Wishes it. Whether the phone does so is told by [`is_on`].
    #[must_use]
    pub fn wish() -> Self {
        WISHES.set(WISHES.get() + 1);
        listen();
        Self(())
    }
}

impl Drop for Awake {
    fn drop(&mut self) {
        WISHES.set(WISHES.get().saturating_sub(1));
        if WISHES.get() == 0
            && let Some(held) = HELD.take()
        {
            // Already let go is as good.
            let _ = call(&held, "release", &[]);
        }
    }
}

/// Keeps the screen on from now on (or lets it go), on whichever page; whether the
/// phone does so.
pub async fn keep_on(on: bool) -> bool {
    let before = STANDING.replace(on.then(Awake::wish));
    drop(before);
    !on || is_on().await
}

/// Whether the screen is to be kept on, on whichever page.
pub fn is_wanted() -> bool {
    STANDING.with_borrow(Option::is_some)
}

/// Asks the browser for what is wished; whether it gives it.
pub async fn is_on() -> bool {
    if HELD.with_borrow(|held| held.as_ref().is_some_and(is_held)) {
        return true;
    }
    let asked = || -> Result<Promise, JsValue> {
        let navigator = Reflect::get(&js_sys::global(), &"navigator".into())?;
        let lock = Reflect::get(&navigator, &"wakeLock".into())?;
        call(&lock, "request", &["screen".into()])?.dyn_into()
    };
    let Ok(promise) = asked() else { return false };
    let Ok(lock) = JsFuture::from(promise).await else {
        return false;
    };
    if WISHES.get() == 0 {
        // Nobody wishes it any more: it came too late.
        let _ = call(&lock, "release", &[]);
    } else if let Some(before) = HELD.replace(Some(lock)) {
        // Two asked at once, and one is enough.
        let _ = call(&before, "release", &[]);
    }
    true
}

fn is_held(lock: &JsValue) -> bool {
    Reflect::get(lock, &"released".into()).is_ok_and(|released| !released.is_truthy())
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
    let back = Closure::<dyn Fn()>::new(|| {
        if WISHES.get() > 0 && !page::is_hidden() {
            spawn_local(async {
                is_on().await;
            });
        }
    });
    page::listen(true, "visibilitychange", back.as_ref());
    // Lives as long as the page.
    back.forget();
}
