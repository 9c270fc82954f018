//! What a worker asks of the browser around it: time, waiting, randomness.

use super::error::Error;
use js_sys::{Promise, Reflect};
use rand_core::{TryCryptoRng, TryRng};
use std::convert::Infallible;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{Crypto, WorkerGlobalScope};

/// The worker's global scope.
pub fn scope() -> Result<WorkerGlobalScope, Error> {
    let global = js_sys::global().dyn_into();
    global.map_err(|_| Error::Browser("this is no worker".to_owned()))
}

/// Milliseconds since 1970 by the phone's clock.
pub fn now_ms() -> f64 {
    js_sys::Date::now()
}

/// Seconds since 1970 by the phone's clock.
pub fn now_s() -> u64 {
    (now_ms() / 1000.0).max(0.0) as u64
}

/// A promise that is kept after `ms` milliseconds.
pub fn after(ms: i32) -> Promise {
    Promise::new(&mut |resolve, _| {
        let set = scope()
            .ok()
            .map(|scope| scope.set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, ms));
        if !matches!(set, Some(Ok(_))) {
            // Without a clock, at once: asking too often is better than never.
            let _ = resolve.call0(&JsValue::NULL);
        }
    })
}

/// Waits for `ms` milliseconds.
pub async fn sleep(ms: i32) {
    // Such a promise is never broken.
    let _ = JsFuture::from(after(ms)).await;
}

/// Random numbers by the browser, for keys.
#[derive(Clone)]
pub struct Random(Crypto);

impl Random {
    /// The browser's source, tried out once.
    ///
    /// # Errors
    /// When there is none.
    pub fn of_browser() -> Result<Self, Error> {
        let none = || Error::Browser("it has no source of random numbers".to_owned());
        let crypto = Reflect::get(&js_sys::global(), &"crypto".into()).map_err(|_| none())?;
        let crypto: Crypto = crypto.dyn_into().map_err(|_| none())?;
        let mut tried = [0; 32];
        let drawn = crypto.get_random_values_with_u8_array(&mut tried);
        if drawn.is_err() || tried == [0; 32] {
            return Err(none());
        }
        Ok(Self(crypto))
    }
}

impl TryRng for Random {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        let mut bytes = [0; 4];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u32::from_le_bytes(bytes))
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let mut bytes = [0; 8];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u64::from_le_bytes(bytes))
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        // At most so many at once (Web Cryptography API, 10.1.1).
        for piece in bytes.chunks_mut(65_536) {
            self.0
                .get_random_values_with_u8_array(piece)
                .expect("a source that was tried out at start");
        }
        Ok(())
    }
}

impl TryCryptoRng for Random {}
