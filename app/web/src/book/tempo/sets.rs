//! Sets of counts side by side: each in numbers, the difference of two with its
//! interval, and whether two are one tempo within a band. No views and no storage.

use coaching::statistics::{t_cdf, t_quantile};
use notebook::{RecordId, Rep};

/// Counts of a set before anything is said of it (our choice, no source).
pub const AT_LEAST: usize = 5;

/// The usual band of one tempo, s (our choice, no source).
pub const USUAL_BAND_S: f64 = 0.15;

/// A set of reps.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// Its identity.
    pub id: RecordId,
    /// Where the ball came from, as the first rep stores it.
    pub environment: String,
    /// When its first rep was made, ms since 1970.
    pub made_ms: f64,
    /// The counts, s, oldest first.
    pub counts_s: Vec<f64>,
}

/// Reps, oldest first, as sets in the order in which they began.
pub fn sets(reps: &[Rep]) -> Vec<Set> {
    let mut sets: Vec<Set> = Vec::new();
    for rep in reps {
        match sets.iter_mut().find(|set| set.id == rep.set) {
            Some(set) => set.counts_s.push(rep.count_s),
            None => sets.push(Set {
                id: rep.set,
                environment: rep.context.environment.as_str().to_owned(),
                made_ms: rep.head.made.since_1970().as_millis() as f64,
                counts_s: vec![rep.count_s],
            }),
        }
    }
    sets
}

/// The numbers of counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Numbers {
    /// How many.
    pub n: usize,
    /// Mean, s.
    pub mean_s: f64,
    /// Sample standard deviation, s; zero for one.
    pub sd_s: f64,
}

impl Numbers {
    /// Of `counts_s`; `None` of none.
    pub fn of(counts_s: &[f64]) -> Option<Self> {
        let stats = coaching::count::SetStats::of(counts_s)?;
        Some(Self {
            n: stats.n,
            mean_s: stats.mean_s,
            sd_s: stats.sd_s.unwrap_or(0.0),
        })
    }

    /// Coefficient of variation, percent.
    pub fn cv_percent(&self) -> f64 {
        100.0 * self.sd_s / self.mean_s
    }

    /// Half of the 95 percent interval of the mean, s (Student's t); `None` below
    /// two counts.
    pub fn half_interval_s(&self) -> Option<f64> {
        (self.n >= 2).then(|| {
            let n = self.n as f64;
            t_quantile(0.975, n - 1.0) * self.sd_s / n.sqrt()
        })
    }

    fn squared_error(&self) -> f64 {
        self.sd_s * self.sd_s / self.n as f64
    }
}

/// The later mean less the earlier one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// The difference, s.
    pub by_s: f64,
    /// Half of its 95 percent interval, s (Welch).
    pub half_interval_s: f64,
    /// The larger p of the two one-sided tests against the band (Schuirmann 1987).
    pub equivalence_p: f64,
}

/// Compares two sets; `None` below [`AT_LEAST`] counts in either. `band_s` is how
/// far apart two means may lie and still be one tempo.
pub fn difference(earlier: &Numbers, later: &Numbers, band_s: f64) -> Option<Difference> {
    if earlier.n < AT_LEAST || later.n < AT_LEAST {
        return None;
    }
    let (a, b) = (earlier.squared_error(), later.squared_error());
    let by_s = later.mean_s - earlier.mean_s;
    let error_s = (a + b).sqrt();
    if error_s <= 0.0 {
        return Some(Difference {
            by_s,
            half_interval_s: 0.0,
            equivalence_p: if by_s.abs() < band_s { 0.0 } else { 1.0 },
        });
    }
    let less_one = |n: usize| (n - 1) as f64;
    let df = (a + b) * (a + b) / (a * a / less_one(earlier.n) + b * b / less_one(later.n));
    let above_low = 1.0 - t_cdf((by_s + band_s) / error_s, df);
    let below_high = t_cdf((by_s - band_s) / error_s, df);
    Some(Difference {
        by_s,
        half_interval_s: t_quantile(0.975, df) * error_s,
        equivalence_p: above_low.max(below_high),
    })
}

/// Which counts lie far from the others: more than 3.5 by the modified z-score of
/// Iglewicz and Hoaglin (1993). None is marked below [`AT_LEAST`], and none is left
/// out of any number.
pub fn outliers(counts_s: &[f64]) -> Vec<bool> {
    if counts_s.len() < AT_LEAST {
        return vec![false; counts_s.len()];
    }
    let middle_s = median(counts_s.to_vec());
    let spread_s = median(counts_s.iter().map(|s| (s - middle_s).abs()).collect());
    counts_s
        .iter()
        .map(|s| spread_s > 0.0 && 0.6745 * (s - middle_s).abs() / spread_s > 3.5)
        .collect()
}

fn median(mut of: Vec<f64>) -> f64 {
    of.sort_unstable_by(f64::total_cmp);
    let half = of.len() / 2;
    match of.len() % 2 {
        1 => of[half],
        _ => f64::midpoint(of[half - 1], of[half]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EARLIER_S: [f64; 8] = [1.50, 1.46, 1.55, 1.49, 1.52, 1.44, 1.58, 1.51];
    const LATER_S: [f64; 7] = [1.41, 1.47, 1.43, 1.52, 1.39, 1.45, 1.48];

    const SCIPY: [f64; 4] = [
        -0.056_250_000_000_000_13,
        0.050_179_286_522_326_55,
        0.000_718_454_224_038_5,
        0.037_901_883_660_182_01,
    ];

    /// Against SciPy 1.17.1: `ttest_ind(later, earlier, equal_var=False)` with its
    /// `confidence_interval()`, and two one-sided tests by shifting.
    #[test]
    fn a_difference_agrees_with_scipy() {
        let earlier = Numbers::of(&EARLIER_S).expect("numbers");
        let later = Numbers::of(&LATER_S).expect("numbers");
        let found = difference(&earlier, &later, 0.15).expect("enough counts");
        assert!((found.by_s - SCIPY[0]).abs() < 1e-9, "{found:?}");
        assert!((found.half_interval_s - SCIPY[1]).abs() < 1e-6, "{found:?}");
        assert!((found.equivalence_p - SCIPY[2]).abs() < 1e-6, "{found:?}");
        let half_s = earlier.half_interval_s().expect("an interval");
        assert!((half_s - SCIPY[3]).abs() < 1e-6, "{half_s}");
    }

    #[test]
    fn few_counts_say_nothing_and_an_outlier_is_marked() {
        let few = Numbers::of(&EARLIER_S[..4]).expect("numbers");
        let many = Numbers::of(&LATER_S).expect("numbers");
        assert_eq!(difference(&few, &many, 0.15), None);
        let mut counts_s = EARLIER_S.to_vec();
        counts_s.push(2.6);
        let marked = outliers(&counts_s);
        assert_eq!(marked.iter().filter(|marked| **marked).count(), 1);
        assert!(marked[8]);
    }
}
