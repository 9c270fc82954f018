//! How numbers, dates and sides are written for the user. English only so far.

use chrono::{DateTime, Datelike, Local, Timelike};
use js_sys::{Array, JsString, Object};
use notebook::Stamp;
use std::cmp::Ordering;

/// A number with `digits` decimals, without a minus sign before zero.
pub fn fixed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let is_zero = text.bytes().all(|c| matches!(c, b'-' | b'0' | b'.'));
    if is_zero {
        text.trim_start_matches('-').to_owned()
    } else {
        text.replace('-', "\u{2212}")
    }
}

/// A number as the user would type it: no needless zeros.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The side of the field that a sideways value points to (positive x is the
/// first-base side).
pub const fn base_side(x: f64) -> &'static str {
    if x < 0.0 {
        "third-base side"
    } else {
        "first-base side"
    }
}

/// "1.6° steeper", "0.4° flatter" or "at the same angle".
pub fn steeper(difference_deg: f64) -> String {
    if difference_deg.abs() < 0.05 {
        "at the same angle".to_owned()
    } else if difference_deg > 0.0 {
        format!("{}° steeper", fixed(difference_deg, 1))
    } else {
        format!("{}° flatter", fixed(-difference_deg, 1))
    }
}

/// Day and time of a stamp in the phone's zone, as "25 Nov 2026, 07:40".
pub fn when(stamp: Stamp) -> String {
    when_ms(stamp.since_1970().as_millis() as f64)
}

/// The same of milliseconds since 1970.
pub fn when_ms(ms: f64) -> String {
    let Some(time) = DateTime::from_timestamp((ms / 1000.0) as i64, 0) else {
        return "at an unknown time".to_owned();
    };
    let time = time.with_timezone(&Local);
    // By hand: chrono's own formats weigh 9 KB in the browser.
    let month = MONTHS[time.month0() as usize];
    let (day, year) = (time.day(), time.year());
    format!(
        "{day} {month} {year}, {:02}:{:02}",
        time.hour(),
        time.minute()
    )
}

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// "3 hitters", "1 hitter".
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Order of two names as the phone's language has it.
pub fn by_name(a: &str, b: &str) -> Ordering {
    let order = JsString::from(a).locale_compare(b, &Array::new(), &Object::new());
    order.cmp(&0)
}

/// In small letters, for searching. By the browser: Rust's brings tables of
/// 11 KB along.
pub fn lower_case(text: &str) -> String {
    JsString::from(text).to_lower_case().into()
}

/// A text as names are searched: folded, after the browser put it in small
/// letters and took its accents apart.
pub fn for_search(text: &str) -> String {
    let small = JsString::from(text).to_lower_case();
    coaching::search::folded(&String::from(small.normalize("NFD")))
}
