//! What small changes of a set-up do: one step nearer, one mark faster, one
//! inch higher.

use crate::flight::{Flight, Launch, length};
use crate::question::{MatchError, Question, Solution};
use crate::setup::Seen;
use crate::units::{ft_to_m, m_to_in, mph_to_m_s};

/// A step of a grown person, ft. Ours; a foot more or less changes the answer
/// in proportion.
pub const STEP_FT: f64 = 2.5;
/// A mark of a dial that can be set to any speed, mph.
const USUAL_MARK_MPH: f64 = 1.0;

/// What a change does, after minus before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// How much was changed, in the unit of the change.
    pub by: f64,
    /// Time to the plane where the pitch is met, s, the machine aimed again.
    pub time_s: f64,
    /// Descent angle there, degrees, aimed again.
    pub descent_deg: f64,
    /// Side angle there, degrees, aimed again.
    pub side_angle_deg: f64,
    /// How much higher the ball passes when the aim is left as it was, in.
    pub higher_in: f64,
    /// How much more toward +x it passes when the aim is left, in.
    pub aside_in: f64,
}

/// The three changes of a set-up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// One step nearer to the plate, [`STEP_FT`] ft.
    pub step_nearer: Change,
    /// One mark of the dial faster, mph.
    pub mark_faster: Change,
    /// One inch higher, ft.
    pub inch_higher: Change,
}

impl Question {
    /// What small changes of a set-up do, whether the limits allow them or
    /// not.
    ///
    /// Errors: [`MatchError::Flight`] when a changed set-up does not reach the
    /// target.
    pub fn sensitivity(&self, solution: &Solution) -> Result<Sensitivity, MatchError> {
        let mark_mph = match self.machine.speed_step_mph {
            step if step > 0.0 => step,
            _ => USUAL_MARK_MPH,
        };
        let inch_ft = 1.0 / 12.0;
        let change = |by, [nearer_ft, faster_mph, higher_ft]: [f64; 3]| {
            let mut launch = solution.machine_launch;
            launch.release_m[1] -= ft_to_m(nearer_ft);
            launch.release_m[2] += ft_to_m(higher_ft);
            let speed_m_s = length(launch.velocity_m_s);
            let factor = 1.0 + mph_to_m_s(faster_mph) / speed_m_s;
            launch.velocity_m_s = launch.velocity_m_s.map(|part| part * factor);
            change(
                &self.machine_flight(),
                by,
                solution,
                &launch,
                self.pitch.target_m(),
            )
        };
        Ok(Sensitivity {
            step_nearer: change(STEP_FT, [STEP_FT, 0.0, 0.0])?,
            mark_faster: change(mark_mph, [0.0, mark_mph, 0.0])?,
            inch_higher: change(inch_ft, [0.0, 0.0, inch_ft])?,
        })
    }
}

/// What another launch changes; `launch` has the old direction.
fn change(
    flight: &Flight,
    by: f64,
    solution: &Solution,
    launch: &Launch,
    target_m: [f64; 3],
) -> Result<Change, MatchError> {
    let cannot = |error| MatchError::Flight(crate::SetUpError::Machine(error));
    let as_aimed = flight
        .fly_through_ground(launch, target_m[1])
        .map_err(cannot)?;
    let aimed = flight
        .aim_with_spin(
            launch.release_m,
            length(launch.velocity_m_s),
            launch.spin_rad_s,
            target_m,
        )
        .map_err(cannot)?;
    let seen = Seen::from(&aimed.arrival);
    Ok(Change {
        by,
        time_s: seen.time_s - solution.machine.time_s,
        descent_deg: seen.descent_deg - solution.machine.descent_deg,
        side_angle_deg: seen.side_angle_deg - solution.machine.side_angle_deg,
        higher_in: m_to_in(as_aimed.position_m[2] - target_m[2]),
        aside_in: m_to_in(as_aimed.position_m[0] - target_m[0]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearer_and_faster_is_sooner_and_an_inch_higher_passes_an_inch_higher() {
        let question = Question::adult();
        let solution = question.best_at(40.0).unwrap();
        let Sensitivity {
            step_nearer,
            mark_faster,
            inch_higher,
        } = question.sensitivity(&solution).unwrap();
        // 2.5 ft at 66 mph or so are 26 ms; a mark in 66 is 1.5 percent.
        assert!(
            (step_nearer.time_s + 0.026).abs() < 0.003,
            "{step_nearer:?}"
        );
        let share = mark_faster.time_s / solution.machine.time_s;
        assert!(
            (share + 1.0 / solution.speed_mph).abs() < 0.002,
            "{mark_faster:?}"
        );
        assert!(mark_faster.higher_in > 0.5 && mark_faster.descent_deg < 0.0);
        // Drag and lift do not depend on height.
        assert!((inch_higher.higher_in - 1.0).abs() < 1e-6);
        assert!(inch_higher.descent_deg > 0.05 && inch_higher.time_s.abs() < 1e-3);
    }

    #[test]
    fn no_change_changes_nothing() {
        let question = Question::adult();
        let solution = question.best_at(40.0).unwrap();
        let same = change(
            &question.flight,
            0.0,
            &solution,
            &solution.machine_launch,
            question.pitch.target_m(),
        )
        .unwrap();
        assert!(same.time_s.abs() < 1e-9 && same.higher_in.abs() < 1e-6);
    }
}
