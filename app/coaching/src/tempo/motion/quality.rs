//! How far the times from a phone's motion can be relied on.

/// The mark of a swing's times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// To be used.
    Good,
    /// To be used with care.
    Fair,
    /// Not to be recorded.
    Poor,
}

impl Mark {
    /// The word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Fair => "fair",
            Self::Poor => "poor",
        }
    }
}

/// What takes from the mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// Fewer than 45 samples a second.
    SlowSamples,
    /// Samples are missing within the turn.
    Gap,
    /// The phone shakes, or its sensors do: a small move may go unseen.
    Noisy,
    /// It shakes so much that the lift cannot be seen.
    TooNoisy,
    /// No still moment before the turn.
    NeverStill,
    /// No turn fast enough, or its peak is not within the samples.
    NoPeak,
    /// Another turn about as fast.
    TwoPeaks,
}

impl Reason {
    /// What is wrong and what helps.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SlowSamples => "the phone gives fewer than 45 samples a second",
            Self::Gap => "samples are missing within the turn",
            Self::Noisy => "the phone shakes in the pocket: seat it tight",
            Self::TooNoisy => "the phone shakes too much for the lift to show: seat it tight",
            Self::NeverStill => "there was no still moment before the lift: stand still first",
            Self::NoPeak => "no clear fast turn was felt",
            Self::TwoPeaks => "two fast turns were felt: record one swing at a time",
        }
    }

    /// What leaves nothing to rely on.
    const fn is_grave(self) -> bool {
        matches!(
            self,
            Self::TooNoisy | Self::NeverStill | Self::NoPeak | Self::TwoPeaks
        )
    }
}

/// A mark with what led to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quality {
    /// The mark.
    pub mark: Mark,
    /// What took from it.
    pub reasons: Vec<Reason>,
}

impl Quality {
    /// Below so many samples a second, two of them lie too far apart for a count.
    const SLOWEST_HZ: f64 = 25.0;

    /// One grave reason, two others, or samples below 25 a second make it poor; one
    /// other makes it fair.
    pub(super) fn of(rate_hz: f64, reasons: Vec<Reason>) -> Self {
        let is_grave = reasons.iter().any(|reason| reason.is_grave());
        let mark = if is_grave || reasons.len() > 1 || rate_hz < Self::SLOWEST_HZ {
            Mark::Poor
        } else if reasons.is_empty() {
            Mark::Good
        } else {
            Mark::Fair
        };
        Self { mark, reasons }
    }

    /// The mark and its reasons in one sentence.
    pub fn sentence(&self) -> String {
        let word = self.mark.word();
        if self.reasons.is_empty() {
            return format!("Motion: {word}.");
        }
        let reasons: Vec<&str> = self.reasons.iter().map(|reason| reason.words()).collect();
        format!("Motion: {word}; {}.", reasons.join("; "))
    }
}
