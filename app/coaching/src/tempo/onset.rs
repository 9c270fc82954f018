//! Contact by sound: finds the sharp starts in a stream of samples from a
//! microphone, and tells the bat's contact from what else is heard. Nothing is
//! recorded: of the sound only the energy of the last quarter second is held.

mod filter;
mod sound_check;

pub use sound_check::{Calibration, OnsetError, Search, echo_s};

use filter::HighPass;

/// Lowest and highest sample rate, Hz.
pub const RATES_HZ: (f64, f64) = (16_000.0, 192_000.0);

/// Where the band begins that is listened to, Hz. The crack of bat and ball lies
/// above, a machine's hum, its wheels and voices mostly below (our choice; common
/// practice, no source).
const BAND_FROM_HZ: f64 = 1_200.0;

/// Steps in a second at which energy is looked at.
const STEPS_A_SECOND: f64 = 1_000.0;

/// Steps over which energy is summed to find a start: about as long as a crack.
const WINDOW: usize = 4;

/// Steps waited after a start, to see how strong it becomes.
const LOOK_ON: usize = 5;

/// Steps looked back for the first rise.
const LOOK_BACK: usize = 8;

/// Steps after a start over which a crack has mostly died away, and a swelling
/// sound has hardly begun.
const SHARP: u64 = 5;

/// Steps after a start that are heard before it is judged.
const JUDGED: u64 = 24;

/// The share of the energy about a start, from [`LOOK_BACK`] steps before it for
/// [`JUDGED`] steps, that lies in its first [`SHARP`] steps, at the least. A crack that dies
/// away in 8 ms has 0.7, a burst that swells for 15 ms 0.3 (our choice, no source).
const SHARP_SHARE: f64 = 0.42;

/// How many times stronger a later sound is that takes the place of a start not
/// judged yet.
const OVERTAKES: f64 = 4.0;

/// Steps after a start in which no other one counts: a crack and its echo in the
/// cage are one.
const SILENCE: u64 = 60;

/// Steps that are heard before anything is found, to learn the noise.
const LEARN: u64 = 150;

/// How much of a new step the noise takes on: about a seventh of a second.
const LEARNING: f64 = 1.0 / 150.0;

/// How many times the noise's energy a start has, at the least.
const LEAST_RATIO: f64 = 2.2;

/// How many mean deviations above the noise's energy it has, at the least.
const LEAST_DEVIATIONS: f64 = 10.0;

/// Power of the noise of a 16-bit microphone in full silence: a step's square over
/// twelve. What is weaker is no sound.
const QUIETEST: f64 = 1.0 / (32_768.0 * 32_768.0 * 12.0);

/// The start of a sharp sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onset {
    /// Samples from the stream's first to the start.
    pub at_sample: u64,
    /// Energy above the noise in the band, over about 4 ms; in the units of the
    /// samples, squared and summed.
    pub strength: f64,
    /// Energy of the same piece over that of the noise.
    pub ratio: f64,
}

/// Listens to a stream. Blocks may come in any size; what is found depends on the
/// samples alone.
#[derive(Debug, Clone)]
pub struct Listener {
    rate_hz: f64,
    step: usize,
    high_pass: [HighPass; 2],
    calibration: Option<Calibration>,
    /// Samples and energy of the step under way.
    filled: usize,
    energy: f64,
    /// Energies of the last steps; the newest at `steps - 1`.
    kept: [f64; KEPT],
    steps: u64,
    noise: Noise,
    /// The step at which a start was noticed, until enough is heard after it.
    noticed: Option<u64>,
    silent_until: u64,
}

const KEPT: usize = 64;

impl Listener {
    /// Sound needed after contact until it can be told, seconds: when the microphone
    /// ends before, the rep has no count.
    pub const NEEDS_AFTER_S: f64 = 0.03;

    /// Listens to samples of this rate, finding every sharp start; with a
    /// calibration, only those strong enough for contact.
    ///
    /// # Errors
    /// When the rate is outside of [`RATES_HZ`].
    pub fn new(rate_hz: f64, calibration: Option<Calibration>) -> Result<Self, OnsetError> {
        if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate_hz) {
            return Err(OnsetError::Rate { given_hz: rate_hz });
        }
        Ok(Self {
            rate_hz,
            step: (rate_hz / STEPS_A_SECOND).round() as usize,
            high_pass: HighPass::butterworth(BAND_FROM_HZ / rate_hz),
            calibration,
            filled: 0,
            energy: 0.0,
            kept: [0.0; KEPT],
            steps: 0,
            noise: Noise::default(),
            noticed: None,
            silent_until: LEARN,
        })
    }

    /// Seconds from the stream's first sample to this onset.
    pub fn seconds(&self, onset: &Onset) -> f64 {
        onset.at_sample as f64 / self.rate_hz
    }

    /// Energy of the noise over about 4 ms, in the units of [`Onset::strength`].
    pub const fn noise(&self) -> f64 {
        self.noise.mean
    }

    /// Hears the next samples; gives the starts found in them, in order. A start is
    /// found about 25 ms after it was heard.
    pub fn push(&mut self, samples: &[f32]) -> Vec<Onset> {
        let mut found = Vec::new();
        for sample in samples {
            // A broken driver's NaN must not stay in the filter for good.
            let mut heard = if sample.is_finite() {
                f64::from(*sample)
            } else {
                0.0
            };
            for stage in &mut self.high_pass {
                heard = stage.next(heard);
            }
            self.energy += heard * heard;
            self.filled += 1;
            if self.filled == self.step {
                found.extend(self.end_step());
            }
        }
        found
    }

    fn end_step(&mut self) -> Option<Onset> {
        self.kept[self.steps as usize % KEPT] = self.energy;
        self.steps += 1;
        self.filled = 0;
        self.energy = 0.0;
        let newest = self.steps - 1;
        let now = self.window(newest);
        if let Some(noticed) = self.noticed {
            return self.judge(noticed, newest, now);
        }
        let quietest = QUIETEST * (self.step * WINDOW) as f64;
        if self.steps > self.silent_until && now > self.noise.threshold().max(quietest) {
            self.noticed = Some(newest);
        } else {
            self.noise.hear(now, self.steps);
        }
        None
    }

    /// Waits until a start can be judged. One that is refused asks for no silence:
    /// contact may follow a clap.
    fn judge(&mut self, noticed: u64, newest: u64, now: f64) -> Option<Onset> {
        let is_late = newest > noticed + LOOK_ON as u64;
        if is_late && now > OVERTAKES * self.strongest(noticed) {
            self.noticed = Some(newest);
            return None;
        }
        if newest < noticed + JUDGED {
            return None;
        }
        self.noticed = None;
        let found = self.start_near(noticed);
        if found.is_some() {
            self.silent_until = noticed + SILENCE;
        }
        found
    }

    /// The strongest window shortly after a start.
    fn strongest(&self, noticed: u64) -> f64 {
        (noticed..=noticed + LOOK_ON as u64)
            .map(|step| self.window(step))
            .fold(0.0, f64::max)
    }

    /// Whether a sound that began at this step began like a crack.
    fn is_sharp(&self, first: u64) -> bool {
        let noise = self.noise.mean / WINDOW as f64;
        let above = |from: u64, to: u64| {
            let energy: f64 = (from..to).map(|step| self.at(step) - noise).sum();
            energy.max(0.0)
        };
        let before = first.saturating_sub(LOOK_BACK as u64);
        let all = above(before, before + JUDGED);
        above(first, first + SHARP) >= SHARP_SHARE * all
    }

    fn at(&self, step: u64) -> f64 {
        self.kept[step as usize % KEPT]
    }

    /// Energy of the steps that end with this one.
    fn window(&self, last: u64) -> f64 {
        let first = (last + 1).saturating_sub(WINDOW as u64);
        (first..=last).map(|step| self.at(step)).sum()
    }

    /// The start that was noticed at a step, if it is strong enough: where the
    /// energy first rose well towards its peak.
    fn start_near(&self, noticed: u64) -> Option<Onset> {
        let strongest = self.strongest(noticed);
        let noise = self.noise.mean;
        let strength = strongest - noise;
        if self
            .calibration
            .is_some_and(|calibration| strength < calibration.least)
        {
            return None;
        }
        let a_step = noise / WINDOW as f64;
        let from = noticed.saturating_sub(LOOK_BACK as u64);
        let peak = (from..=noticed + LOOK_ON as u64)
            .map(|step| self.at(step))
            .fold(0.0, f64::max);
        let risen = (a_step + 0.2 * (peak - a_step)).max(LEAST_RATIO * a_step);
        let first = (from..=noticed).find(|step| self.at(*step) >= risen);
        let first = first.unwrap_or(noticed);
        if !self.is_sharp(first) {
            return None;
        }
        Some(Onset {
            at_sample: first * self.step as u64,
            strength,
            ratio: strongest / noise.max(f64::MIN_POSITIVE),
        })
    }
}

/// What is heard all the time: mean and mean deviation of the energy of a window.
#[derive(Debug, Clone, Copy, Default)]
struct Noise {
    mean: f64,
    deviation: f64,
}

impl Noise {
    /// Takes in a window in which nothing was found.
    fn hear(&mut self, energy: f64, steps: u64) {
        if steps < WINDOW as u64 {
            return;
        }
        // At first the plain mean, then the last seventh of a second. A sound too
        // weak to be a start must not raise it much.
        let share = LEARNING.max(1.0 / (steps + 1 - WINDOW as u64) as f64);
        let heard = match steps > LEARN {
            true => energy.min(4.0 * self.mean),
            false => energy,
        };
        self.deviation += share * ((heard - self.mean).abs() - self.deviation);
        self.mean += share * (heard - self.mean);
    }

    fn threshold(self) -> f64 {
        let by_spread = self.mean + LEAST_DEVIATIONS * self.deviation;
        by_spread.max(LEAST_RATIO * self.mean)
    }
}
