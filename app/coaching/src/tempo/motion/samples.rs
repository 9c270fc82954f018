//! Samples of a phone's motion as two smooth rows, how fast it turns and how it is
//! pushed, and what is read off them. No judgement here.

use super::super::TempoError;
use super::super::robust::median;
use crate::count::SetStats;

/// One sample, as a browser's motion event gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The event's own time, ms.
    pub t_ms: f64,
    /// Acceleration with gravity along the phone's axes, m/s2.
    pub acceleration_m_s2: [f64; 3],
    /// Rotation rate about the phone's axes, deg/s.
    pub rotation_deg_s: [f64; 3],
}

/// The shortest stretch that is looked at, ms.
const SHORTEST_MS: f64 = 1_000.0;

/// Half of the time over which samples are averaged, ms.
const SMOOTH_MS: f64 = 20.0;

/// What a still pelvis stays below, deg/s and m/s2 off rest, unless the sensors'
/// own noise is larger (our choice, no source).
const STILL: (f64, f64) = (12.0, 0.35);

/// How long before it is seen a move may have begun, ms.
const RISE_MS: f64 = 120.0;

/// How often out of one the noise alone passes for a move: 4.5 of its standard
/// deviations are hardly ever reached.
const NOISE_TIMES: f64 = 4.5;

pub(super) struct Track {
    t_ms: Vec<f64>,
    turned: Vec<f64>,
    pushed: Vec<f64>,
    rate_hz: f64,
    noise: (f64, f64),
    smooth: usize,
}

impl Track {
    pub(super) fn of(samples: &[Sample]) -> Result<Self, TempoError> {
        let t_ms: Vec<f64> = samples.iter().map(|sample| sample.t_ms).collect();
        let steps: Vec<f64> = t_ms.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let is_number = |sample: &Sample| {
            sample.t_ms.is_finite()
                && sample
                    .acceleration_m_s2
                    .iter()
                    .chain(&sample.rotation_deg_s)
                    .all(|value| value.is_finite())
        };
        let fits = samples.iter().all(is_number)
            && steps.len() >= 8
            && steps.iter().all(|step| *step > 0.0)
            && steps.iter().sum::<f64>() >= SHORTEST_MS;
        let step_ms = median(&steps)
            .filter(|_| fits)
            .ok_or(TempoError::MotionSamples)?;
        let rotation: Vec<[f64; 3]> = samples.iter().map(|s| s.rotation_deg_s).collect();
        let push: Vec<[f64; 3]> = samples.iter().map(|s| s.acceleration_m_s2).collect();
        let smooth = (SMOOTH_MS / step_ms).round() as usize;
        Ok(Self {
            t_ms,
            turned: smoothed_length(&rotation, smooth),
            pushed: smoothed_length(&push, smooth),
            rate_hz: 1e3 / step_ms,
            noise: (noise(&rotation), noise(&push)),
            smooth,
        })
    }

    pub(super) const fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    /// The standard deviation of the rotation's noise, deg/s.
    pub(super) const fn noise_deg_s(&self) -> f64 {
        self.noise.0
    }

    pub(super) fn turned(&self, place: usize) -> f64 {
        self.turned[place]
    }

    /// Where the phone turns fastest.
    pub(super) fn peak(&self) -> usize {
        (0..self.turned.len())
            .max_by(|a, b| self.turned[*a].total_cmp(&self.turned[*b]))
            .unwrap_or(0)
    }

    pub(super) fn is_at_end(&self, peak: usize) -> bool {
        peak < 2 || peak + 3 > self.turned.len()
    }

    /// The first sample, going back from the peak, of those at or above a share of
    /// it.
    pub(super) fn turn_before(&self, peak: usize, share: f64) -> usize {
        let level = share * self.turned[peak];
        let below = (0..peak).rev().find(|place| self.turned[*place] < level);
        below.map_or(0, |place| place + 1)
    }

    /// When the rotation rate rose through a level, just before this sample.
    pub(super) fn time_before(&self, place: usize, level: f64) -> f64 {
        let Some(before) = place.checked_sub(1) else {
            return self.t_ms[place];
        };
        let (low, high) = (self.turned[before], self.turned[place]);
        let share = ((level - low) / (high - low)).clamp(0.0, 1.0);
        self.t_ms[before] + share * (self.t_ms[place] - self.t_ms[before])
    }

    /// The top of the curve about the peak: of the parabola that fits best through
    /// the samples above 85 percent of it, as one sample alone is moved by noise.
    pub(super) fn top_ms(&self, peak: usize) -> f64 {
        let level = 0.85 * self.turned[peak];
        let first = self.turn_before(peak, 0.85);
        let after = (peak..self.turned.len()).find(|place| self.turned[*place] < level);
        let last = after.unwrap_or(self.turned.len());
        let middle = self.t_ms[peak];
        let points = || (first..last).map(|place| (self.t_ms[place] - middle, self.turned[place]));
        let top = top_of_parabola(points());
        let (from, to) = (self.t_ms[first] - middle, self.t_ms[last - 1] - middle);
        middle + top.filter(|top| (from..=to).contains(top)).unwrap_or(0.0)
    }

    /// Whether another turn is nearly as fast, far from the peak.
    pub(super) fn has_rival(&self, peak: usize, share: f64, away_ms: f64) -> bool {
        (0..self.turned.len()).any(|place| {
            (self.t_ms[place] - self.t_ms[peak]).abs() > away_ms
                && self.turned[place] > share * self.turned[peak]
        })
    }

    /// Whether samples are missing between these two, or right beside them.
    pub(super) fn has_gap(&self, from: usize, to: usize) -> bool {
        let last = (to + 2).min(self.t_ms.len() - 1);
        self.t_ms[from.saturating_sub(2)..=last]
            .windows(2)
            .any(|pair| pair[1] - pair[0] > 2.5 * 1e3 / self.rate_hz)
    }

    /// When the phone first moved after the last still stretch before this sample.
    pub(super) fn first_move_before(&self, turn: usize, still_ms: f64) -> Option<f64> {
        let limits = self.limits();
        (1..=turn).rev().find_map(|moved| {
            let from_ms = self.t_ms[moved - 1] - still_ms;
            if self.t_ms[0] > from_ms {
                return None;
            }
            let first = self.t_ms.partition_point(|t_ms| *t_ms < from_ms);
            let rest = median(&self.pushed[first..moved])?;
            let is_still = (first..moved).all(|place| {
                self.turned[place] <= limits.0 && (self.pushed[place] - rest).abs() <= limits.1
            });
            is_still.then(|| self.rise_before(first, moved))
        })
    }

    /// What a still pelvis stays below, deg/s and m/s2: more when the noise asks
    /// for it.
    fn limits(&self) -> (f64, f64) {
        let averaged = ((2 * self.smooth + 1) as f64).sqrt();
        (
            STILL.0.max(NOISE_TIMES * self.noise.0 / averaged),
            STILL.1.max(NOISE_TIMES * self.noise.1 / averaged),
        )
    }

    /// How many times the noise has raised the limits of what is still; 1 when it
    /// has not.
    pub(super) fn raised(&self) -> f64 {
        let limits = self.limits();
        (limits.0 / STILL.0).max(limits.1 / STILL.1)
    }

    /// A move shows over the limit only when it is under way. So from there back to
    /// where either row last was as in the still stretch from `first` on.
    fn rise_before(&self, first: usize, moved: usize) -> f64 {
        let quiet_to = self
            .t_ms
            .partition_point(|t_ms| *t_ms < self.t_ms[moved] - RISE_MS)
            .max(first + 1);
        let began = |row: &[f64]| {
            // Mean and spread of any numbers, here not seconds.
            let quiet = SetStats::of(&row[first..quiet_to])?;
            let spread = quiet.sd_s.unwrap_or(0.0);
            let is_quiet = |place: &usize| (row[*place] - quiet.mean_s).abs() <= 2.0 * spread;
            (quiet_to..moved).rev().find(is_quiet).map(|last| last + 1)
        };
        let begun = [began(&self.turned), began(&self.pushed)];
        let place = begun.into_iter().map(|at| at.unwrap_or(quiet_to)).min();
        self.t_ms[place.unwrap_or(moved)]
    }
}

/// The length of the mean vector over so many samples to each side: the mean
/// first, as the length of noise alone would not come to nothing.
fn smoothed_length(vectors: &[[f64; 3]], each_side: usize) -> Vec<f64> {
    (0..vectors.len())
        .map(|place| {
            let last = (place + each_side).min(vectors.len() - 1);
            let near = &vectors[place.saturating_sub(each_side)..=last];
            let mean = |axis: usize| near.iter().map(|v| v[axis]).sum::<f64>() / near.len() as f64;
            (0..3).map(|axis| mean(axis).powi(2)).sum::<f64>().sqrt()
        })
        .collect()
}

/// The standard deviation of the noise of one axis, from how far each sample lies
/// off its two neighbours' line: a swing, being smooth, hardly counts there. The
/// variance of that is six times the noise's; the median keeps the swing out.
fn noise(vectors: &[[f64; 3]]) -> f64 {
    let off: Vec<f64> = vectors
        .windows(3)
        .flat_map(|near| {
            (0..3).map(|axis| (near[0][axis] - 2.0 * near[1][axis] + near[2][axis]).abs())
        })
        .collect();
    1.4826 * median(&off).unwrap_or(0.0) / 6.0_f64.sqrt()
}

/// Where the parabola of least squares through the points has its top; `None`
/// when it has none.
fn top_of_parabola(points: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    // Sums of t^0..t^4, and of y t^0..t^2.
    let (mut t, mut y) = ([0.0; 5], [0.0; 3]);
    for (time, value) in points {
        let mut power = 1.0;
        for place in 0..5 {
            t[place] += power;
            if place < 3 {
                y[place] += value * power;
            }
            power *= time;
        }
    }
    let det = |m: [[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let with = |column: usize| {
        let mut m = [[t[0], t[1], t[2]], [t[1], t[2], t[3]], [t[2], t[3], t[4]]];
        if column < 3 {
            for (row, value) in m.iter_mut().zip(y) {
                row[column] = value;
            }
        }
        m
    };
    // By Cramer's rule; the common divisor falls out of the top's place.
    let (slope, bend) = (det(with(1)), det(with(2)));
    let divisor = det(with(3));
    (t[0] >= 3.0 && divisor > 0.0 && bend < 0.0).then(|| -slope / (2.0 * bend))
}
