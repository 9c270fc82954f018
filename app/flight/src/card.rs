//! The numbers of the quick card: a set-up as it is put up in the cage with a
//! tape and a laser or a string.

use crate::correct::Correction;
use crate::question::Solution;
use crate::units::m_to_ft;

/// The numbers of the quick card. Heights are from plate level, mound
/// included; sides have the sign of [`crate::Release::side_ft`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuickCard {
    /// From the machine's release to the back point of the plate, along the
    /// field, ft.
    pub distance_ft: f64,
    /// Height of the release, ft: where a laser along the line of throw meets
    /// a plumb stick held at the machine.
    pub stick_at_machine_ft: f64,
    /// Where the machine's release stands beside the middle line, ft.
    pub side_ft: f64,
    /// Where the laser (straight on from the throw) meets a plumb stick over
    /// the back point of the plate, ft. The ball itself drops below it.
    pub stick_at_plate_ft: f64,
    /// How far beside the middle of the plate it meets the stick's plane, ft.
    pub stick_at_plate_side_ft: f64,
    /// Speed mark, mph.
    pub mark_mph: f64,
    /// Height at which the first balls must pass where the pitch is met, ft.
    pub passes_ft: f64,
    /// Time to there, s: what five balls timed by clip or sound must show.
    pub time_s: f64,
    /// How far the ball drops below the laser by the plane where it is met,
    /// ft.
    pub drop_ft: f64,
}

impl Solution {
    /// The numbers of the quick card for this set-up.
    pub fn card(&self) -> QuickCard {
        let [vx, vy, vz] = self.machine_launch.velocity_m_s;
        let [_, target_y_m, target_z_m] = self.target_m;
        // Along the laser: side and height a foot of distance.
        let (aside, rise) = (vx / -vy, vz / -vy);
        let met_ft = m_to_ft(target_y_m);
        let passes_ft = m_to_ft(target_z_m);
        let laser_ft = self.height_ft + rise * (self.distance_ft - met_ft);
        QuickCard {
            distance_ft: self.distance_ft,
            stick_at_machine_ft: self.height_ft,
            side_ft: self.side_ft,
            stick_at_plate_ft: self.height_ft + rise * self.distance_ft,
            stick_at_plate_side_ft: self.side_ft + aside * self.distance_ft,
            mark_mph: self.speed_mph,
            passes_ft,
            time_s: self.machine.time_s,
            drop_ft: laser_ft - passes_ft,
        }
    }
}

impl QuickCard {
    /// Where the laser meets a plumb stick some feet in front of the machine,
    /// ft above plate level: for a stick that is nearer than the plate.
    pub fn stick_at_ft(&self, in_front_ft: f64) -> f64 {
        let share = in_front_ft / self.distance_ft;
        self.stick_at_machine_ft + (self.stick_at_plate_ft - self.stick_at_machine_ft) * share
    }

    /// The card after a correction: dial and laser as they are to be set now.
    /// The balls then pass where they were meant to.
    pub fn corrected(&self, correction: &Correction) -> QuickCard {
        let turned = |run_ft: f64, by_deg: f64| {
            let angle_rad = run_ft.atan2(self.distance_ft) + by_deg.to_radians();
            self.distance_ft * angle_rad.tan()
        };
        let rise_ft = self.stick_at_plate_ft - self.stick_at_machine_ft;
        let aside_ft = self.stick_at_plate_side_ft - self.side_ft;
        QuickCard {
            mark_mph: correction.dial_mph,
            stick_at_plate_ft: self.stick_at_machine_ft + turned(rise_ft, correction.turn_up_deg),
            stick_at_plate_side_ft: self.side_ft + turned(aside_ft, correction.turn_aside_deg),
            ..*self
        }
    }

    /// How far the laser points below level along the field, degrees.
    pub fn laser_down_deg(&self) -> f64 {
        (self.stick_at_machine_ft - self.stick_at_plate_ft)
            .atan2(self.distance_ft)
            .to_degrees()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::deg_to_rad;
    use crate::{Flight, Placed, Question, SeenOff};

    fn tangent(degrees: f64) -> f64 {
        deg_to_rad(degrees).tan()
    }

    fn solution() -> Solution {
        Question::adult().best().unwrap()
    }

    #[test]
    fn the_laser_meets_the_stick_where_the_aim_points() {
        let solution = solution();
        let card = solution.card();
        // Source: the aim of the set-up; down is against the ground along the
        // throw, which is longer than along the field by the side turn.
        let along_ft = card.distance_ft / deg_to_rad(solution.aim_side_deg).cos();
        let by_aim_ft = solution.height_ft - along_ft * tangent(solution.aim_down_deg);
        assert!((card.stick_at_plate_ft - by_aim_ft).abs() < 1e-9);
        let aside_ft = solution.side_ft + card.distance_ft * tangent(solution.aim_side_deg);
        assert!((card.stick_at_plate_side_ft - aside_ft).abs() < 1e-9);
        assert!((card.stick_at_ft(0.0) - card.stick_at_machine_ft).abs() < 1e-12);
        assert!((card.stick_at_ft(card.distance_ft) - card.stick_at_plate_ft).abs() < 1e-12);
        assert!(
            (tangent(card.laser_down_deg()) * card.distance_ft
                - (card.stick_at_machine_ft - card.stick_at_plate_ft))
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn balls_4_in_low_raise_the_laser_at_the_plate_by_about_4_in() {
        let solution = solution();
        let flight = Flight::default();
        let seen = SeenOff {
            high_in: Some(-4.0),
            ..SeenOff::default()
        };
        let correction = Placed::from(&solution)
            .correct(&flight, solution.target_m, &seen)
            .unwrap();
        let (before, after) = (solution.card(), solution.card().corrected(&correction));
        let raised_in = 12.0 * (after.stick_at_plate_ft - before.stick_at_plate_ft);
        assert!((raised_in - 4.0).abs() < 0.1, "{raised_in}");
        assert!((after.stick_at_plate_side_ft - before.stick_at_plate_side_ft).abs() < 0.01);
        assert_eq!(after.mark_mph, before.mark_mph);
    }

    #[test]
    fn the_ball_passes_the_target_below_the_laser_by_its_drop() {
        let card = solution().card();
        assert!((card.passes_ft - 2.5).abs() < 1e-8);
        assert!((card.stick_at_plate_ft - card.drop_ft - 2.5).abs() < 1e-8);
        // A ball without lift falls g t^2 / 2; the lift of 2,200 rpm takes a good
        // half of that (C_L 0.23 at 83 mph is 0.56 g).
        let free_ft = m_to_ft(0.5 * crate::GRAVITY_M_S2 * card.time_s * card.time_s);
        assert!(
            (0.4..0.5).contains(&(card.drop_ft / free_ft)),
            "{card:?} {free_ft}"
        );
    }
}
