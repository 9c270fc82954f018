//! Time of day and new identities.

use notebook::{NTP64, RecordId};
use std::cell::Cell;
use std::time::Duration;

thread_local! {
    /// Two tabs of one phone share a device id; `Date.now` tells whole
    /// milliseconds only, so each tab adds a fraction of its own and their
    /// stamps differ.
    static FRACTION: Cell<u64> = Cell::new((js_sys::Math::random() * 4_000_000.0) as u64);
}

/// The phone's time of day, for the stamp clock.
pub fn wall() -> NTP64 {
    let now_ms = js_sys::Date::now().max(0.0) as u64;
    NTP64(NTP64::from(Duration::from_millis(now_ms)).0 + FRACTION.get())
}

/// A new record's identity: UUID version 7 at the phone's time.
pub fn new_id() -> RecordId {
    let now_ms = js_sys::Date::now().max(0.0) as u64;
    let time = uuid::Timestamp::from_unix_time(
        now_ms / 1000,
        (now_ms % 1000) as u32 * 1_000_000,
        // No counter: the rest is random.
        0,
        0,
    );
    uuid::Uuid::new_v7(time).into()
}

/// Milliseconds since the page was opened, on the clock of event time stamps.
pub fn page_now_ms() -> f64 {
    web_sys::window()
        .and_then(|window| window.performance())
        .map_or(0.0, |performance| performance.now())
}

/// Does `work` and leaves how long it took in the browser's timeline under
/// `name` (the latest only), for `cargo xtask bench`.
pub fn timed<T>(name: &str, work: impl FnOnce() -> T) -> T {
    let Some(performance) = web_sys::window().and_then(|window| window.performance()) else {
        return work();
    };
    performance.clear_marks_with_mark_name(name);
    performance.clear_measures_with_measure_name(name);
    // Only a measurement: without it nothing else changes.
    let _ = performance.mark(name);
    let done = work();
    let _ = performance.measure_with_start_mark(name, name);
    done
}
