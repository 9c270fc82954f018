//! Where the clock of the sound stands on the clock of the page. The sound's stops
//! for a call or when the phone cannot keep up, the page's never does; and a busy page
//! is told late of what was heard.

use std::collections::VecDeque;

/// Tells when something on the sound's clock happened, on the page's.
///
/// A reading of both is late by as long as the page was busy, never early: so the
/// earliest reading counts. An old one does not: since then the sound may have
/// stopped, and goes on behind.
#[derive(Debug, Clone, Default)]
pub struct Clocks {
    /// When on the page's clock, and how far that was ahead of the sound's, s.
    readings: VecDeque<(f64, f64)>,
}

impl Clocks {
    /// How long a reading counts, s: longer than a page is busy at a stretch, and
    /// shorter than from a call to lift (our choice, no source).
    pub const COUNTS_S: f64 = 0.5;

    /// Notes what both clocks read, s. The latest reading counts in any case.
    pub fn read(&mut self, page_s: f64, sound_s: f64) {
        let ahead_s = page_s - sound_s;
        if !ahead_s.is_finite() {
            return;
        }
        let old = |(at_s, _): &(f64, f64)| page_s - at_s > Self::COUNTS_S;
        while self.readings.front().is_some_and(old) {
            self.readings.pop_front();
        }
        self.readings.push_back((page_s, ahead_s));
    }

    /// A time of the sound's clock on the page's, s; none before the first reading.
    #[must_use]
    pub fn page_s(&self, sound_s: f64) -> Option<f64> {
        let ahead = self.readings.iter().map(|(_, ahead_s)| *ahead_s);
        ahead.min_by(f64::total_cmp).map(|it| it + sound_s)
    }
}
