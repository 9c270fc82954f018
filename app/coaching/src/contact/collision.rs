//! The ball on the bat: from how the bat comes and where it meets the ball to
//! where the ball goes. A small model with its assumptions stated; what a
//! hitter does, and how sure it is, is in [`path`](super::path).
//!
//! Assumptions:
//! - The ball is a uniform solid sphere, the barrel a round cylinder. They meet
//!   in one point, at once; no other force counts meanwhile.
//! - The bat answers as a mass of [`Bodies::bat_mass_kg`] alike in all
//!   directions and does not turn. Near the sweet spot that is the effective
//!   mass of a free bat; nothing is said of other places.
//! - Along the line of centers the relative speed turns round by the
//!   coefficient of restitution. Across it, friction acts: at most the
//!   coefficient of friction times the impulse between them, and never more
//!   than stops the sliding. So the ball leaves sliding or rolling, as in
//!   Sawicki, Hubbard and Stronge (Am. J. Phys. 71, 1152, 2003; the model from
//!   memory).
//!
//! The frame is the hitter's: `x` to the opposite side, `y` to the pitcher,
//! `z` up. For who bats right it is the frame of `flight`, for who bats left
//! its mirror image.

use flight::units::{in_to_m, m_s_to_mph, mph_to_m_s};
use flight::{BASEBALL, Ball};

/// A vector in the hitter's frame.
pub type Vector = [f64; 3];

/// The two that meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bodies {
    /// The ball.
    pub ball: Ball,
    /// Effective mass of the bat where it meets the ball, kg.
    pub bat_mass_kg: f64,
    /// Radius of the barrel there, m.
    pub barrel_radius_m: f64,
    /// Coefficient of restitution along the line of centers, 0 to 1.
    pub restitution: f64,
    /// Coefficient of friction, 0 or more.
    pub friction: f64,
}

impl Default for Bodies {
    /// A baseball on a barrel 2.5 in across. Restitution 0.5 and an effective
    /// mass of 0.6 kg give a ball on a resting bat a fifth of its speed back, as
    /// measured for wood near the sweet spot (Nathan, Am. J. Phys. 71, 134,
    /// 2003, from memory); friction 0.5 as in Sawicki, Hubbard and Stronge
    /// (from memory).
    fn default() -> Self {
        Self {
            ball: BASEBALL,
            bat_mass_kg: 0.6,
            barrel_radius_m: in_to_m(1.25),
            restitution: 0.5,
            friction: 0.5,
        }
    }
}

/// Moment of inertia of a uniform solid sphere over mass and radius squared.
const SPHERE: f64 = 0.4;

/// How the two move, before or after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Velocity of the ball, m/s.
    pub ball_m_s: Vector,
    /// Spin of the ball, along its axis by the right-hand rule, rad/s. In the
    /// frame of who bats left the rule is the left hand's.
    pub spin_rad_s: Vector,
    /// Velocity of the barrel where it meets the ball, m/s.
    pub bat_m_s: Vector,
}

impl Bodies {
    /// The motion after the two met, with `normal` the unit vector from the
    /// middle of the barrel to the middle of the ball. When they do not
    /// approach along it, nothing changes.
    pub fn collide(&self, before: Motion, normal: Vector) -> Motion {
        let mass_kg = self.ball.mass_kg;
        let radius_m = self.ball.radius_m();
        // One over the mass that moves when the two are pushed apart.
        let yields = 1.0 / mass_kg + 1.0 / self.bat_mass_kg;
        let relative = minus(before.ball_m_s, before.bat_m_s);
        let along = dot(relative, normal);
        if along >= 0.0 {
            return before;
        }
        let push = -(1.0 + self.restitution) * along / yields;
        // The ball touches at -radius from its middle along the normal.
        let turning = times(-radius_m, cross(before.spin_rad_s, normal));
        let sliding = plus(minus(relative, times(along, normal)), turning);
        let speed = dot(sliding, sliding).sqrt();
        // Pushed sideways where it touches, the ball also turns away.
        let stops = speed / (yields + 1.0 / (SPHERE * mass_kg));
        let rub = stops.min(self.friction * push);
        let across = match speed > 0.0 {
            true => times(-rub / speed, sliding),
            false => [0.0; 3],
        };
        let impulse = plus(times(push, normal), across);
        let per_spin = -1.0 / (SPHERE * mass_kg * radius_m);
        Motion {
            ball_m_s: plus(before.ball_m_s, times(1.0 / mass_kg, impulse)),
            spin_rad_s: plus(before.spin_rad_s, times(per_spin, cross(normal, across))),
            bat_m_s: minus(before.bat_m_s, times(1.0 / self.bat_mass_kg, impulse)),
        }
    }
}

/// A ball on its way to the hitter, where it is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Toss {
    /// From where it comes, degrees from straight ahead; positive from the
    /// open side, which is the opposite side of the field.
    pub from_deg: f64,
    /// How steeply it comes down, degrees.
    pub down_deg: f64,
    /// How fast, mph. It does not spin.
    pub speed_mph: f64,
}

impl Toss {
    /// A firm side toss, straight at the front hip: from between the side and
    /// the front, level where it is met (common practice, no source).
    pub const FIRM_SIDE: Self = Self {
        from_deg: 45.0,
        down_deg: 0.0,
        speed_mph: 15.0,
    };

    fn velocity_m_s(self) -> Vector {
        let (side, ahead) = self.from_deg.to_radians().sin_cos();
        let (down, level) = self.down_deg.to_radians().sin_cos();
        times(
            -mph_to_m_s(self.speed_mph),
            [level * side, level * ahead, down],
        )
    }
}

/// How much the bat turns while it is carried an inch farther out front,
/// degrees: the barrel's way round at about 30 in (our choice, no source).
pub const TURN_DEG_AN_IN: f64 = 1.9;

/// How the bat comes, and where it meets the ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Speed of the barrel, mph.
    pub bat_speed_mph: f64,
    /// Where the barrel faces at a depth of 0, degrees: 0 to the middle,
    /// positive to the opposite side.
    pub face_deg: f64,
    /// How steeply the barrel moves up, degrees; negative is down.
    pub attack_deg: f64,
    /// How far the end of the bat hangs below level, degrees.
    pub tilt_deg: f64,
    /// How much farther out front the ball is met, in, than where the barrel
    /// faces `face_deg`; negative is deeper.
    pub depth_in: f64,
    /// How far the middle of the ball lies above the middle of the barrel,
    /// square to the bat and to its way, in; negative is below, so that the
    /// ball is topped.
    pub offset_in: f64,
}

/// How a ball leaves the bat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Batted {
    /// Where it goes, degrees from the middle, positive to the opposite side.
    pub toward_opposite_deg: f64,
    /// How steeply it rises, degrees; negative is down.
    pub launch_deg: f64,
    /// How fast, mph.
    pub speed_mph: f64,
}

impl Swing {
    /// Where a tossed ball goes; `None` when bat and ball pass each other by.
    pub fn hit(&self, bodies: &Bodies, toss: Toss) -> Option<Batted> {
        let reach_m = bodies.barrel_radius_m + bodies.ball.radius_m();
        let up = in_to_m(self.offset_in) / reach_m;
        if !(-1.0..=1.0).contains(&up) {
            return None;
        }
        let face_rad = (self.face_deg - TURN_DEG_AN_IN * self.depth_in).to_radians();
        let (face_x, face_y) = face_rad.sin_cos();
        let (rise, forward) = self.attack_deg.to_radians().sin_cos();
        let (hang, out) = self.tilt_deg.to_radians().sin_cos();
        let bat = [face_y * out, -face_x * out, -hang];
        let way = [face_x * forward, face_y * forward, rise];
        // The part of the bat's way across the bat, and what is square to both.
        let ahead = unit(minus(way, times(dot(way, bat), bat)));
        let above = cross(bat, ahead);
        let normal = plus(times((1.0 - up * up).sqrt(), ahead), times(up, above));
        let before = Motion {
            ball_m_s: toss.velocity_m_s(),
            spin_rad_s: [0.0; 3],
            bat_m_s: times(mph_to_m_s(self.bat_speed_mph), way),
        };
        let after = bodies.collide(before, normal);
        if after == before {
            return None;
        }
        let [x, y, z] = after.ball_m_s;
        Some(Batted {
            toward_opposite_deg: x.atan2(y).to_degrees(),
            launch_deg: z.atan2(x.hypot(y)).to_degrees(),
            speed_mph: m_s_to_mph(dot(after.ball_m_s, after.ball_m_s).sqrt()),
        })
    }
}

/// The heights of a ball in play by launch angle, degrees: ground below 10,
/// line to 25, fly to 50, pop above (common practice, from memory).
pub const HEIGHT_EDGES_DEG: [f64; 3] = [10.0, 25.0, 50.0];

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn plus(a: Vector, b: Vector) -> Vector {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

fn minus(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn times(by: f64, a: Vector) -> Vector {
    a.map(|part| by * part)
}

fn cross(a: Vector, b: Vector) -> Vector {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn unit(a: Vector) -> Vector {
    times(1.0 / dot(a, a).sqrt(), a)
}
