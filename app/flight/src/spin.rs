//! Spin of a ball, split into the parts the trade speaks of: backspin,
//! sidespin and gyro.

use crate::units::rpm_to_rad_s;

/// A spin by its three parts, rpm.
///
/// The gyro part is taken about the line from mound to plate, not about the
/// slightly tilted path of the ball: for a pitch the two differ by a few
/// degrees, and lift is computed from the vector as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spin {
    /// Backspin, which holds the ball up; negative is topspin.
    pub backspin_rpm: f64,
    /// Sidespin; positive moves the ball toward +x, the first-base side.
    pub sidespin_rpm: f64,
    /// Gyro part, which moves the ball nowhere; positive turns clockwise for
    /// the pitcher who looks after the ball.
    pub gyro_rpm: f64,
}

impl Spin {
    /// Backspin alone; negative is topspin.
    pub const fn backspin(rpm: f64) -> Spin {
        Spin {
            backspin_rpm: rpm,
            sidespin_rpm: 0.0,
            gyro_rpm: 0.0,
        }
    }

    /// A spin by its rate, the tilt of its moving part and its gyro share.
    ///
    /// `tilt_deg` is where the spin pushes the ball: 0 is up (backspin), 90
    /// toward +x (the first-base side), 180 down (topspin), -90 toward -x.
    /// `gyro_share` is the gyro part over the whole, -1 to 1; what lies outside
    /// counts as the nearest end.
    pub fn tilted(rpm: f64, tilt_deg: f64, gyro_share: f64) -> Spin {
        let gyro_share = gyro_share.clamp(-1.0, 1.0);
        let moving_rpm = rpm * (1.0 - gyro_share * gyro_share).sqrt();
        let (side, back) = tilt_deg.to_radians().sin_cos();
        Spin {
            backspin_rpm: moving_rpm * back,
            sidespin_rpm: moving_rpm * side,
            gyro_rpm: rpm * gyro_share,
        }
    }

    /// Rate of the whole spin, rpm.
    pub fn rate_rpm(&self) -> f64 {
        self.moving_rpm().hypot(self.gyro_rpm)
    }

    /// Rate of the part that moves the ball, rpm.
    pub fn moving_rpm(&self) -> f64 {
        self.backspin_rpm.hypot(self.sidespin_rpm)
    }

    /// Where it pushes the ball, degrees, as in [`Spin::tilted`]; 0 for a spin
    /// without a moving part.
    pub fn tilt_deg(&self) -> f64 {
        self.sidespin_rpm.atan2(self.backspin_rpm).to_degrees()
    }

    /// The gyro part over the whole, -1 to 1; 0 without spin.
    pub fn gyro_share(&self) -> f64 {
        match self.rate_rpm() {
            0.0 => 0.0,
            rate => self.gyro_rpm / rate,
        }
    }

    /// As a vector along its axis in the axes of the crate, rad/s: what
    /// [`crate::Launch`] takes.
    pub fn vector_rad_s(&self) -> [f64; 3] {
        [-self.backspin_rpm, -self.gyro_rpm, self.sidespin_rpm].map(rpm_to_rad_s)
    }

    /// The same spin by a pitcher of the other hand.
    pub fn mirrored(self) -> Spin {
        Spin {
            sidespin_rpm: -self.sidespin_rpm,
            gyro_rpm: -self.gyro_rpm,
            ..self
        }
    }

    /// Part by part, `self` minus `other`.
    pub fn minus(self, other: Spin) -> Spin {
        Spin {
            backspin_rpm: self.backspin_rpm - other.backspin_rpm,
            sidespin_rpm: self.sidespin_rpm - other.sidespin_rpm,
            gyro_rpm: self.gyro_rpm - other.gyro_rpm,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::{Arrival, Flight, Launch};
    use proptest::prelude::*;

    fn thrown(spin: Spin) -> Arrival {
        let launch = Launch {
            release_m: [0.0, 16.0, 1.8],
            velocity_m_s: [0.0, -40.0, 0.0],
            spin_rad_s: spin.vector_rad_s(),
        };
        Flight::default().fly(&launch, 0.0).unwrap()
    }

    #[test]
    fn a_spin_pushes_the_ball_where_its_tilt_points() {
        let still = thrown(Spin::default()).position_m;
        let pushed = |tilt_deg| {
            let [x, _, z] = thrown(Spin::tilted(2000.0, tilt_deg, 0.0)).position_m;
            [x - still[0], z - still[2]]
        };
        let [x, z] = pushed(0.0);
        assert!(x.abs() < 1e-12 && z > 0.1);
        let [x, z] = pushed(90.0);
        assert!(x > 0.1 && z.abs() < 0.05);
        let [x, z] = pushed(180.0);
        assert!(x.abs() < 1e-12 && z < -0.1);
        let [x, z] = pushed(-45.0);
        assert!(x < -0.1 && z > 0.1);
    }

    #[test]
    fn gyro_that_turns_clockwise_for_the_pitcher_points_along_the_flight() {
        // Right-hand rule: thumb toward the plate, -y, fingers clockwise for
        // who looks that way. Then up, +z, turns to the pitcher's right, -x.
        let [wx, wy, wz] = Spin {
            gyro_rpm: 60.0,
            ..Spin::default()
        }
        .vector_rad_s();
        assert_eq!((wx, wz), (0.0, 0.0));
        // The x of spin x up is the y of the spin.
        assert!(wy < 0.0);
    }

    #[test]
    fn gyro_alone_hardly_moves_the_ball() {
        let still = thrown(Spin::default()).position_m;
        let gyro = thrown(Spin::tilted(2000.0, 0.0, 1.0)).position_m;
        let back = thrown(Spin::backspin(2000.0)).position_m;
        assert!((gyro[2] - still[2]).abs() < 0.02 * (back[2] - still[2]));
        // The ball falls as it flies, so its path is a little across the axis.
        assert!((gyro[0] - still[0]).abs() < 0.1 * (back[2] - still[2]));
    }

    proptest! {
        #[test]
        fn the_parts_make_the_whole_and_the_whole_the_parts(
            rpm in 1.0..4000.0, tilt_deg in -179.9..179.9, share in -0.99..0.99,
        ) {
            let spin = Spin::tilted(rpm, tilt_deg, share);
            prop_assert!((spin.rate_rpm() / rpm - 1.0).abs() < 1e-12);
            prop_assert!((spin.tilt_deg() - tilt_deg).abs() < 1e-9);
            prop_assert!((spin.gyro_share() - share).abs() < 1e-12);
        }

        #[test]
        fn the_other_hand_throws_the_mirror_image(
            rpm in 0.0..4000.0, tilt_deg in -180.0..180.0, share in -1.0..1.0,
        ) {
            let spin = Spin::tilted(rpm, tilt_deg, share);
            let (one, other) = (thrown(spin), thrown(spin.mirrored()));
            prop_assert_eq!(one.time_s, other.time_s);
            prop_assert_eq!(one.position_m[0], -other.position_m[0]);
            prop_assert_eq!(one.position_m[2], other.position_m[2]);
        }
    }
}
