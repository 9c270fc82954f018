//! Lift and turn from a phone in the back pocket. No browser here. What counts as
//! what is our choice without a source, and was not held against film: hence the
//! quality mark.

/// One reading: time in s, size of the acceleration with gravity in m/s2, size of
/// the turning in deg/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Felt {
    /// When, s.
    pub at_s: f64,
    /// Acceleration, m/s2.
    pub pull_m_s2: f64,
    /// Turning, deg/s.
    pub turn_deg_s: f64,
}

/// A swing that was felt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Lift, s.
    pub lift_s: f64,
    /// The fastest turn, taken for contact, s.
    pub contact_s: f64,
    /// "good", "fair" or "poor".
    pub quality: &'static str,
}

/// Readings of a few seconds, and what they hold.
#[derive(Debug, Default)]
pub struct Pocket {
    felt: Vec<Felt>,
}

/// Slower turns are no swing, deg/s.
const TURN_DEG_S: f64 = 250.0;
/// A stir from standing still, m/s2 from the middle.
const STIR_M_S2: f64 = 1.2;
/// How long a swing is looked back on, s.
const KEPT_S: f64 = 4.0;
/// How long after the fastest turn it is sure to have been that, s.
const SURE_S: f64 = 0.4;
/// Stillness that parts lift from what was before, s.
const STILL_S: f64 = 0.3;

impl Pocket {
    /// Takes a reading in; a swing, once it is over.
    pub fn feel(&mut self, felt: Felt) -> Option<Swing> {
        self.felt.retain(|before| felt.at_s - before.at_s < KEPT_S);
        self.felt.push(felt);
        let top = self
            .felt
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.turn_deg_s.total_cmp(&b.1.turn_deg_s))?;
        let (index, fastest) = (top.0, *top.1);
        if fastest.turn_deg_s < TURN_DEG_S || felt.at_s - fastest.at_s < SURE_S {
            return None;
        }
        let before = self.felt[..index].to_vec();
        self.felt.clear();
        lift_in(&before, &fastest)
    }
}

/// The first stir after the last stillness before the turn.
fn lift_in(before: &[Felt], fastest: &Felt) -> Option<Swing> {
    let mut pulls: Vec<f64> = before.iter().map(|felt| felt.pull_m_s2).collect();
    pulls.sort_unstable_by(f64::total_cmp);
    let middle = *pulls.get(pulls.len() / 2)?;
    let stirs = |felt: &Felt| (felt.pull_m_s2 - middle).abs() > STIR_M_S2;
    let mut lift = before.iter().rev().find(|felt| stirs(felt))?;
    for felt in before.iter().rev().filter(|felt| stirs(felt)) {
        if lift.at_s - felt.at_s > STILL_S {
            break;
        }
        lift = felt;
    }
    let still_s = lift.at_s - before.first()?.at_s;
    let apart_s = before
        .windows(2)
        .map(|two| two[1].at_s - two[0].at_s)
        .fold(0.0, f64::max);
    let quality = match () {
        // Gaps blur both times; no stillness before means lift is a guess.
        () if apart_s > 0.05 || still_s < STILL_S => "poor",
        () if apart_s > 0.025 || fastest.turn_deg_s < 1.4 * TURN_DEG_S => "fair",
        () => "good",
    };
    Some(Swing {
        lift_s: lift.at_s,
        contact_s: fastest.at_s,
        quality,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn swing(step_s: f64, still_s: f64) -> Option<Swing> {
        let mut pocket = Pocket::default();
        let mut found = None;
        let steps = (4.0 / step_s) as usize;
        for step in 0..steps {
            let at_s = step as f64 * step_s;
            let stirred = at_s >= still_s && at_s < still_s + 1.5;
            let turn = 600.0 * (-((at_s - still_s - 1.4) / 0.08).powi(2)).exp();
            found = found.or(pocket.feel(Felt {
                at_s,
                pull_m_s2: if stirred { 12.5 } else { 9.8 },
                turn_deg_s: turn,
            }));
        }
        found
    }

    #[test]
    fn lift_and_turn_are_found_and_marked() {
        let found = swing(1.0 / 60.0, 1.9).expect("a swing");
        assert!(
            (found.contact_s - found.lift_s - 1.4).abs() < 0.04,
            "{found:?}"
        );
        assert_eq!(found.quality, "good");
        assert_eq!(swing(0.06, 1.9).expect("a swing").quality, "poor");
    }

    #[test]
    fn standing_still_is_no_swing() {
        let mut pocket = Pocket::default();
        for step in 0..600 {
            let felt = Felt {
                at_s: f64::from(step) / 60.0,
                pull_m_s2: 9.8,
                turn_deg_s: 20.0,
            };
            assert_eq!(pocket.feel(felt), None);
        }
    }
}
