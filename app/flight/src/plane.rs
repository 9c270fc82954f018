//! The planes across the plate in which a pitch is looked at.

use crate::error::FlightError;
use crate::flight::{Flight, Launch};
use crate::range::{Field, RangeError, check};
use crate::units::in_to_m;

/// Front edge of the plate, in in front of its back point. Official Baseball
/// Rules, rule 2.02, from memory: the plate is 17 in wide and as deep.
pub const PLATE_FRONT_IN: f64 = 17.0;

/// Where a ball over the middle is typically met, in in front of the back
/// point of the plate: 3 in in front of the front edge. Common practice, no
/// source; to be edited for a hitter.
pub const TYPICAL_CONTACT_DEPTH_IN: f64 = 20.0;

/// A plane across the field, upright and square to the line to the mound.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Plane {
    /// Through the back point of the plate.
    #[default]
    PlatePoint,
    /// Through the front edge of the plate.
    PlateFront,
    /// Through the contact point.
    Contact {
        /// How far it lies in front of the back point, in.
        depth_in: f64,
    },
}

impl Plane {
    /// The contact point of a hitter nothing is known of.
    pub const TYPICAL_CONTACT: Plane = Plane::Contact {
        depth_in: TYPICAL_CONTACT_DEPTH_IN,
    };

    /// Its place, m in front of the back point of the plate.
    pub fn y_m(&self) -> f64 {
        match *self {
            Plane::PlatePoint => 0.0,
            Plane::PlateFront => in_to_m(PLATE_FRONT_IN),
            Plane::Contact { depth_in } => in_to_m(depth_in),
        }
    }

    pub(crate) fn check(&self) -> Result<(), RangeError> {
        match *self {
            Plane::Contact { depth_in } => check(Field::ContactDepth, depth_in),
            Plane::PlatePoint | Plane::PlateFront => Ok(()),
        }
    }
}

impl Flight {
    /// Time from release to a plane, s: with [`Plane::Contact`] the time to
    /// contact. Error of the time: below 1e-6 relative.
    ///
    /// Errors: those of [`Flight::fly`].
    pub fn time_to(&self, plane: Plane, launch: &Launch) -> Result<f64, FlightError> {
        Ok(self.fly(launch, plane.y_m())?.time_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_passes_the_contact_point_then_the_front_edge_then_the_back_point() {
        let launch = Launch {
            release_m: [0.0, 16.764, 1.8],
            velocity_m_s: [0.0, -40.0, 0.0],
            spin_rad_s: [-200.0, 0.0, 0.0],
        };
        let flight = Flight::default();
        let at = |plane| flight.time_to(plane, &launch).unwrap();
        let (contact, front) = (at(Plane::TYPICAL_CONTACT), at(Plane::PlateFront));
        assert!(contact < front && front < at(Plane::PlatePoint));
        // 3 in at the 37 m/s left are 2 ms, 17 in are 11.9 ms.
        assert!((front - contact - 0.002).abs() < 2e-4);
        assert!((at(Plane::PlatePoint) - front - 0.0119).abs() < 2e-4);
    }

    #[test]
    fn a_contact_point_behind_the_plate_is_refused() {
        assert!(Plane::Contact { depth_in: -1.0 }.check().is_err());
        assert!(Plane::Contact { depth_in: f64::NAN }.check().is_err());
        assert!(Plane::TYPICAL_CONTACT.check().is_ok());
    }
}
