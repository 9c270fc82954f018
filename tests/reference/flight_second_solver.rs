//! The flight against a second integrator in Rust, DOP853 of the crate
//! `ode_solvers`, over pitches drawn anew in every run.
//!
//! It integrates over time, with forces written out again here from the
//! equations of design.md. After the time our flight takes, its ball must
//! stand where ours does: on the plane, at the same place and velocity. So no
//! event search of its own can hide an error.

use flight::units::{ft_to_m, mph_to_m_s, rpm_to_rad_s};
use flight::{Air, Arrival, BASEBALL, Drag, Flight, Launch, Lift, SOFTBALL_11, SOFTBALL_12};
use ode_solvers::dop_shared::OutputType;
use ode_solvers::dop853::Dop853;
use ode_solvers::{SVector, System, Vector3};
use proptest::prelude::*;
use reference::Miss;

type State = SVector<f64, 6>;

/// The equations of design.md.
struct Equations {
    air_per_m: f64,
    radius_m: f64,
    drag_coefficient: f64,
    spin_rad_s: Vector3<f64>,
}

impl System<f64, State> for Equations {
    fn system(&self, _time_s: f64, state: &State, change: &mut State) {
        let velocity = Vector3::new(state[3], state[4], state[5]);
        let speed = velocity.norm();
        let s = self.radius_m * self.spin_rad_s.norm() / speed;
        let lift_coefficient = if s < 0.1 { 1.5 * s } else { 0.09 + 0.6 * s };
        let mut acceleration = -self.air_per_m * self.drag_coefficient * speed * velocity;
        if s > 0.0 {
            let axis = self.spin_rad_s.normalize();
            acceleration += self.air_per_m * lift_coefficient * speed * axis.cross(&velocity);
        }
        acceleration.z -= 9.806_65;
        for i in 0..3 {
            change[i] = velocity[i];
            change[i + 3] = acceleration[i];
        }
    }
}

/// Where the second solver's ball is after a time.
fn after(flight: &Flight, drag_coefficient: f64, launch: &Launch, time_s: f64) -> Arrival {
    let radius_m = flight.ball.circumference_m / std::f64::consts::TAU;
    let area_m2 = std::f64::consts::PI * radius_m * radius_m;
    let equations = Equations {
        air_per_m: flight.air.density_kg_m3 * area_m2 / (2.0 * flight.ball.mass_kg),
        radius_m,
        drag_coefficient,
        spin_rad_s: Vector3::from(launch.spin_rad_s),
    };
    let start = State::from_iterator(launch.release_m.into_iter().chain(launch.velocity_m_s));
    // Sparse output: in 0.6.2 the dense one extrapolates its last point when
    // the step before does not reach the end (seen here as 0.2 mm).
    let mut solver = Dop853::from_param(
        equations,
        0.0,
        time_s,
        time_s,
        start,
        // Ten thousand times sharper than our budget of 1e-6.
        1e-10,
        1e-12,
        // The rest is what `Dop853::new` takes.
        0.9,
        0.0,
        0.333,
        6.0,
        time_s,
        0.0,
        100_000,
        1000,
        OutputType::Sparse,
    );
    solver.integrate().expect("the second solver ends");
    let end_s = solver.x_out().last().expect("an end");
    assert!((end_s / time_s - 1.0).abs() < 1e-12, "{end_s} {time_s}");
    let end = solver.y_out().last().expect("an end");
    Arrival {
        time_s: *end_s,
        position_m: [end[0], end[1], end[2]],
        velocity_m_s: [end[3], end[4], end[5]],
    }
}

proptest! {
    // The failing case is printed; this crate keeps no files of seeds.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn after_our_time_the_second_solvers_ball_stands_where_ours_does(
        ball in prop::sample::select(vec![BASEBALL, SOFTBALL_12, SOFTBALL_11]),
        density_kg_m3 in 0.9..1.3,
        drag_coefficient in 0.25..0.55,
        release_ft in [-3.0..3.0, 20.0..60.0, 1.5..7.0_f64],
        speed_mph in 35.0..110.0,
        up_rad in -0.1..0.15_f64,
        side_rad in -0.08..0.08_f64,
        spin_rpm in prop::array::uniform3(-2500.0..2500.0),
    ) {
        let flight = Flight {
            ball,
            air: Air { density_kg_m3 },
            drag: Drag::Constant(drag_coefficient),
            lift: Lift::SawickiHubbardStronge,
        };
        let speed_m_s = mph_to_m_s(speed_mph);
        let launch = Launch {
            release_m: release_ft.map(ft_to_m),
            velocity_m_s: [
                speed_m_s * up_rad.cos() * side_rad.sin(),
                -speed_m_s * up_rad.cos() * side_rad.cos(),
                speed_m_s * up_rad.sin(),
            ],
            spin_rad_s: spin_rpm.map(rpm_to_rad_s),
        };
        let ours = flight.fly_through_ground(&launch, 0.0).unwrap();
        let theirs = after(&flight, drag_coefficient, &launch, ours.time_s);
        let miss = Miss::between(&ours, &theirs);
        // The time has no line of its own: an error of it would put their
        // ball off the plane, by 40 micrometres for 1e-6 s.
        prop_assert!(miss.position_mm < 1e-2, "{:?}", miss);
        prop_assert!(miss.speed_rel < 1e-7, "{:?}", miss);
        prop_assert!(miss.velocity_rel < 1e-7, "{:?}", miss);
    }
}
