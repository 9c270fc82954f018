//! Least squares between bounds: a quadratic with limits on each variable, and
//! Levenberg-Marquardt rounds on top of it.
//!
//! Own code and not a crate: a crate for this brings a matrix library, which
//! would weigh more in the browser than the whole of this crate, and none of
//! the small ones keeps to limits. There are at most `N` variables, so plain
//! arrays do.

/// Variables of a search.
pub(crate) const N: usize = 6;
/// Misses of a search.
pub(crate) const M: usize = 5;

/// One number for each variable.
pub(crate) type Vars = [f64; N];
/// One number for each miss.
pub(crate) type Misses = [f64; M];
/// Change of each miss by each variable.
pub(crate) type Slopes = [Misses; N];

/// Rounds of a search; from a sensible start 4 to 8 are used.
const ROUNDS: usize = 40;
/// A search whose squared miss is below this has nothing left to gain.
const NO_MISS: f64 = 1e-18;
/// A round that gains less than this share ends the search.
const SMALL_GAIN: f64 = 1e-9;
/// Damping at the start, and where a search gives up.
const FIRST_DAMPING: f64 = 1e-4;
const LAST_DAMPING: f64 = 1e9;

/// A point of a search: what it misses, and what comes with it.
pub(crate) trait Point: Sized + Clone {
    /// The variables.
    fn vars(&self) -> Vars;
    /// The misses at them.
    fn misses(&self) -> Misses;
}

/// The function whose squared misses are to be least.
pub(crate) trait Search {
    /// A point and what is kept with it.
    type At: Point;
    /// What is known around a point, beyond the slopes, to move to the next.
    type Around;
    /// Lower and upper limits of the variables.
    fn limits(&self) -> (Vars, Vars);
    /// Slopes of the misses at a point.
    fn slopes(&self, at: &Self::At) -> Option<(Slopes, Self::Around)>;
    /// The point at other variables, near `at`.
    fn moved(&self, at: &Self::At, around: &Self::Around, to: Vars) -> Option<Self::At>;
}

/// Sum of the squared misses.
pub(crate) fn squared(misses: &Misses) -> f64 {
    misses.iter().map(|miss| miss * miss).sum()
}

/// Searches from a point for the least squared miss inside the limits.
pub(crate) fn least<S: Search>(search: &S, start: S::At) -> S::At {
    let (low, high) = search.limits();
    let mut at = start;
    let mut damping = FIRST_DAMPING;
    for _ in 0..ROUNDS {
        let now = squared(&at.misses());
        if now < NO_MISS {
            break;
        }
        let Some((slopes, around)) = search.slopes(&at) else {
            break;
        };
        let (square, downhill) = normal(&slopes, &at.misses());
        let vars = at.vars();
        let room = |limit: Vars| std::array::from_fn(|i| limit[i] - vars[i]);
        let mut next = None;
        while next.is_none() && damping < LAST_DAMPING {
            let mut damped = square;
            for (i, row) in damped.iter_mut().enumerate() {
                row[i] += damping * (1.0 + row[i]);
            }
            let step = within(&damped, &downhill, room(low), room(high));
            let to = std::array::from_fn(|i| (vars[i] + step[i]).max(low[i]).min(high[i]));
            next = search
                .moved(&at, &around, to)
                .filter(|moved| squared(&moved.misses()) < now);
            damping *= if next.is_some() { 0.1 } else { 8.0 };
        }
        let Some(moved) = next else { break };
        let gained = now - squared(&moved.misses());
        at = moved;
        damping = damping.max(1e-12);
        // A strongly damped step gains little wherever it stands.
        if gained < SMALL_GAIN * now && damping <= FIRST_DAMPING {
            break;
        }
    }
    at
}

/// `J^T J` and `-J^T r` of the linearised problem.
pub(crate) fn normal(slopes: &Slopes, misses: &Misses) -> ([Vars; N], Vars) {
    let dot = |a: &Misses, b: &Misses| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    (
        std::array::from_fn(|i| std::array::from_fn(|j| dot(&slopes[i], &slopes[j]))),
        std::array::from_fn(|i| -dot(&slopes[i], misses)),
    )
}

/// The `x` between `low` and `high` (which enclose 0) with the least
/// `x^T A x / 2 - b^T x`, by the primal active-set method; `a` must be positive
/// definite.
fn within(a: &[Vars; N], b: &Vars, low: Vars, high: Vars) -> Vars {
    let mut x = [0.0; N];
    let mut free: [bool; N] = std::array::from_fn(|i| low[i] < high[i]);
    // Each pass fixes or frees one variable; this many are never needed.
    for _ in 0..8 * N {
        let wanted = solve_free(a, b, &x, &free);
        // How far the way there is open.
        let mut open = 1.0;
        let mut stop = None;
        for i in (0..N).filter(|&i| free[i]) {
            let limit = if wanted[i] > x[i] { high[i] } else { low[i] };
            let way = wanted[i] - x[i];
            if way != 0.0 && (limit - x[i]) / way < open {
                open = ((limit - x[i]) / way).max(0.0);
                stop = Some((i, limit));
            }
        }
        for i in (0..N).filter(|&i| free[i]) {
            x[i] += open * (wanted[i] - x[i]);
        }
        if let Some((i, limit)) = stop {
            x[i] = limit;
            free[i] = false;
            continue;
        }
        // Free the fixed variable that would gain most by moving inside.
        let gain = |i: usize| {
            let pull = b[i] - (0..N).map(|j| a[i][j] * x[j]).sum::<f64>();
            if x[i] <= low[i] { pull } else { -pull }
        };
        let held = (0..N).filter(|&i| !free[i] && low[i] < high[i]);
        match held.max_by(|&i, &j| gain(i).total_cmp(&gain(j))) {
            Some(i) if gain(i) > 1e-12 * (1.0 + b[i].abs()) => free[i] = true,
            _ => break,
        }
    }
    x
}

/// Solves for the free variables, the others staying, by elimination.
fn solve_free(a: &[Vars; N], b: &Vars, x: &Vars, free: &[bool; N]) -> Vars {
    let mut rows = *a;
    let mut right = *b;
    for i in 0..N {
        if free[i] {
            for j in (0..N).filter(|&j| !free[j]) {
                right[i] -= rows[i][j] * x[j];
                rows[i][j] = 0.0;
            }
        } else {
            rows[i] = std::array::from_fn(|j| f64::from(u8::from(i == j)));
            right[i] = x[i];
        }
    }
    for pivot in 0..N {
        let row = rows[pivot];
        for below in pivot + 1..N {
            let factor = rows[below][pivot] / row[pivot];
            for (to, from) in rows[below].iter_mut().zip(row).skip(pivot) {
                *to -= factor * from;
            }
            right[below] -= factor * right[pivot];
        }
    }
    for i in (0..N).rev() {
        let known: f64 = (i + 1..N).map(|j| rows[i][j] * right[j]).sum();
        right[i] = (right[i] - known) / rows[i][i];
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_least_of_a_quadratic_between_limits_satisfies_the_conditions_of_kuhn_and_tucker(
            numbers in prop::collection::vec(-1.0..1.0_f64, N * N + 3 * N),
        ) {
            let mut a = [[0.0; N]; N];
            for i in 0..N {
                for j in 0..N {
                    a[i][j] = (0..N).map(|k| numbers[N * i + k] * numbers[N * j + k]).sum();
                }
                a[i][i] += 0.01;
            }
            let part = |from: usize| -> Vars { std::array::from_fn(|i| numbers[N * N + from + i]) };
            let (b, low, high) = (part(0), part(N).map(|n| -n.abs()), part(2 * N).map(f64::abs));
            let x = within(&a, &b, low, high);
            for i in 0..N {
                prop_assert!(low[i] <= x[i] && x[i] <= high[i]);
                let pull = b[i] - (0..N).map(|j| a[i][j] * x[j]).sum::<f64>();
                if x[i] > low[i] {
                    prop_assert!(pull > -1e-8, "{} {:?}", pull, x);
                }
                if x[i] < high[i] {
                    prop_assert!(pull < 1e-8, "{} {:?}", pull, x);
                }
            }
        }
    }

    /// Rosenbrock's valley in the first two variables.
    struct Valley {
        high: f64,
    }

    #[derive(Clone)]
    struct Spot(Vars);

    impl Point for Spot {
        fn vars(&self) -> Vars {
            self.0
        }
        fn misses(&self) -> Misses {
            let [x, y, ..] = self.0;
            [10.0 * (y - x * x), 1.0 - x, 0.0, 0.0, 0.0]
        }
    }

    impl Search for Valley {
        type At = Spot;
        type Around = ();
        fn limits(&self) -> (Vars, Vars) {
            ([-3.0; N], [self.high; N])
        }
        fn slopes(&self, at: &Spot) -> Option<(Slopes, ())> {
            let mut slopes = [[0.0; M]; N];
            slopes[0] = [-20.0 * at.0[0], -1.0, 0.0, 0.0, 0.0];
            slopes[1][0] = 10.0;
            Some((slopes, ()))
        }
        fn moved(&self, _: &Spot, (): &(), to: Vars) -> Option<Spot> {
            Some(Spot(to))
        }
    }

    #[test]
    fn the_bottom_of_a_bent_valley_is_found_with_and_without_a_limit_before_it() {
        // Source: Rosenbrock's function; least at (1, 1), and with x and y up
        // to 0.5 at (0.5, 0.25).
        let start = Spot([-1.2, 0.4, 0.0, 0.0, 0.0, 0.0]);
        let Spot([x, y, ..]) = least(&Valley { high: 2.0 }, start.clone());
        assert!((x - 1.0).abs() < 1e-6 && (y - 1.0).abs() < 1e-6, "{x} {y}");
        let Spot([x, y, ..]) = least(&Valley { high: 0.5 }, start);
        assert!((x - 0.5).abs() < 1e-6 && (y - 0.25).abs() < 1e-6, "{x} {y}");
    }
}
