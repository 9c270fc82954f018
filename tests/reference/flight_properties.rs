//! What must hold of every flight, whatever the numbers: mirror symmetry, and
//! the order that air and drag impose. Source: the symmetry of the equations
//! of design.md, and that drag only ever takes speed.

use flight::units::{ft_to_m, mph_to_m_s, rpm_to_rad_s};
use flight::{
    Air, Arrival, BASEBALL, Ball, Drag, Flight, GRAVITY_M_S2, Launch, Lift, SOFTBALL_12, Weather,
};
use proptest::prelude::*;

fn any_ball() -> impl Strategy<Value = Ball> {
    prop::sample::select(vec![BASEBALL, SOFTBALL_12])
}

fn any_drag() -> impl Strategy<Value = Drag> {
    prop_oneof![
        Just(Drag::default()),
        Just(Drag::RisesWithSpin(0.385)),
        Just(Drag::FallsWithSpeed),
    ]
}

fn any_lift() -> impl Strategy<Value = Lift> {
    prop::sample::select(vec![
        Lift::None,
        Lift::SawickiHubbardStronge,
        Lift::CrossNathan,
    ])
}

fn any_launch() -> impl Strategy<Value = Launch> {
    (
        [-3.0..3.0, 25.0..58.0, 1.5..7.0_f64],
        30.0..108.0,
        -0.08..0.1_f64,
        -0.08..0.08_f64,
        prop::array::uniform3(-2000.0..2000.0),
    )
        .prop_map(|(release_ft, speed_mph, up_rad, side_rad, spin_rpm)| {
            let speed_m_s = mph_to_m_s(speed_mph);
            Launch {
                release_m: release_ft.map(ft_to_m),
                velocity_m_s: [
                    speed_m_s * up_rad.cos() * side_rad.sin(),
                    -speed_m_s * up_rad.cos() * side_rad.cos(),
                    speed_m_s * up_rad.sin(),
                ],
                spin_rad_s: spin_rpm.map(rpm_to_rad_s),
            }
        })
}

fn flown(flight: &Flight, launch: &Launch) -> Arrival {
    flight
        .fly_through_ground(launch, 0.0)
        .expect("a pitch reaches the plate")
}

proptest! {
    // The failing case is printed; this crate keeps no files of seeds.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_mirror_image_of_a_pitch_flies_as_the_mirror_image(
        ball in any_ball(),
        launch in any_launch(),
        drag in any_drag(),
        lift in any_lift(),
    ) {
        let flight = Flight { ball, drag, lift, ..Flight::default() };
        let flipped = |[x, y, z]: [f64; 3]| [-x, y, z];
        let [wx, wy, wz] = launch.spin_rad_s;
        let mirrored = Launch {
            release_m: flipped(launch.release_m),
            velocity_m_s: flipped(launch.velocity_m_s),
            // Spin is turning, and a mirror keeps the turning about its own axis.
            spin_rad_s: [wx, -wy, -wz],
        };
        let (one, other) = (flown(&flight, &launch), flown(&flight, &mirrored));
        prop_assert_eq!(one.time_s, other.time_s);
        prop_assert_eq!(flipped(one.position_m), other.position_m);
        prop_assert_eq!(flipped(one.velocity_m_s), other.velocity_m_s);
    }

    #[test]
    fn a_higher_field_never_slows_the_ball_more(
        ball in any_ball(),
        launch in any_launch(),
        drag in any_drag(),
        lift in any_lift(),
        low_m in 0.0..3000.0,
        climb_m in 1.0..2000.0,
        temperature_c in -10.0..40.0,
        humidity_percent in 0.0..100.0,
    ) {
        let at = |altitude_m: f64| {
            let weather = Weather { altitude_m, temperature_c, humidity_percent, pressure_pa: None };
            let air = Air::of(&weather).expect("inside the range");
            flown(&Flight { ball, air, drag, lift }, &launch)
        };
        let (low, high) = (at(low_m), at(low_m + climb_m));
        // A slow ball with topspin falls more in thick air and so gains speed:
        // counting height and speed together tells that from slowing.
        let energy = |at: &Arrival| at.speed_m_s().powi(2) / 2.0 + GRAVITY_M_S2 * at.position_m[2];
        prop_assert!(energy(&high) > energy(&low), "{:?} {:?}", low, high);
    }

    #[test]
    fn without_spin_a_higher_field_gives_more_speed_at_the_plate_and_less_time(
        ball in any_ball(),
        launch in any_launch(),
        low_m in 0.0..3000.0,
        climb_m in 1.0..2000.0,
    ) {
        let launch = Launch { spin_rad_s: [0.0; 3], ..launch };
        let at = |altitude_m: f64| {
            let air = Air::standard_at(altitude_m).expect("inside the range");
            flown(&Flight { ball, air, ..Flight::default() }, &launch)
        };
        let (low, high) = (at(low_m), at(low_m + climb_m));
        prop_assert!(high.time_s < low.time_s, "{:?} {:?}", low, high);
        prop_assert!(high.speed_m_s() > low.speed_m_s(), "{:?} {:?}", low, high);
    }

    #[test]
    fn more_drag_never_makes_the_time_shorter(
        ball in any_ball(),
        launch in any_launch(),
        coefficient in 0.0..0.6,
        more in 0.001..0.3,
    ) {
        let with = |coefficient: f64| {
            let drag = Drag::Constant(coefficient);
            flown(&Flight { ball, drag, ..Flight::default() }, &launch).time_s
        };
        prop_assert!(with(coefficient + more) > with(coefficient));
    }
}
