//! The flight against what can be solved by hand: no drag, drag alone, the
//! balance of energy, and the scaling of lengths and times.

use flight::{Air, Arrival, BASEBALL, Ball, Drag, Flight, GRAVITY_M_S2, Launch, Lift};

const WITHOUT_AIR: Flight = Flight {
    ball: BASEBALL,
    air: Air { density_kg_m3: 0.0 },
    drag: Drag::Constant(0.35),
    lift: Lift::SawickiHubbardStronge,
};

fn pitch() -> Launch {
    Launch {
        release_m: [-0.4, 16.764, 1.83],
        velocity_m_s: [0.93, -41.0, -1.8],
        spin_rad_s: [-220.0, 35.0, 60.0],
    }
}

fn assert_close(ours: f64, exact: f64, relative: f64) {
    assert!((ours / exact - 1.0).abs() < relative, "{ours} {exact}");
}

/// Half of density times area over mass, 1/m.
fn air_per_m(flight: &Flight) -> f64 {
    0.5 * flight.air.density_kg_m3 * flight.ball.area_m2() / flight.ball.mass_kg
}

#[test]
fn without_air_a_ball_flies_the_parabola() {
    // Source: free fall, z = z0 + vz t - g t^2 / 2.
    let launch = pitch();
    let [x, y, z] = launch.release_m;
    let [vx, vy, vz] = launch.velocity_m_s;
    let arrival = WITHOUT_AIR.fly(&launch, 0.0).unwrap();
    let time_s = y / -vy;
    assert_close(arrival.time_s, time_s, 1e-13);
    assert_close(arrival.position_m[0], x + vx * time_s, 1e-12);
    let fallen_m = z + vz * time_s - GRAVITY_M_S2 * time_s * time_s / 2.0;
    assert_close(arrival.position_m[2], fallen_m, 1e-12);
    assert_close(arrival.velocity_m_s[2], vz - GRAVITY_M_S2 * time_s, 1e-13);
}

#[test]
fn drag_alone_slows_by_the_exponential_and_takes_the_time_of_the_logarithm() {
    // Source: dv/dt = -k v^2 has v = v0 exp(-k d), and the distance in a time
    // is d = ln(1 + k v0 t) / k. At 100 km/s gravity has no time to act: it
    // bends the path by g d / v^2, 2e-8 rad, and time and speed by its square.
    let flight = Flight {
        lift: Lift::None,
        ..Flight::default()
    };
    let k_per_m = 0.35 * air_per_m(&flight);
    let speed_m_s = 1e5;
    for distance_m in [5.0, 12.0, 18.44, 120.0] {
        let launch = Launch {
            release_m: [0.0, distance_m, 1.0],
            velocity_m_s: [0.0, -speed_m_s, 0.0],
            spin_rad_s: [0.0; 3],
        };
        let arrival = flight.fly(&launch, 0.0).unwrap();
        let slowed_m_s = speed_m_s * (-k_per_m * distance_m).exp();
        assert_close(arrival.speed_m_s(), slowed_m_s, 1e-9);
        let flown_m = (1.0 + k_per_m * speed_m_s * arrival.time_s).ln() / k_per_m;
        assert_close(flown_m, distance_m, 1e-9);
    }
}

#[test]
fn what_the_ball_loses_in_energy_is_the_work_of_drag() {
    // Source: conservation of energy. Gravity is counted by height, lift does
    // no work as it stands across the velocity, so the change of v^2/2 + g z
    // is the integral of k C_D |v|^3 over time, here by Simpson over y.
    let flight = Flight::default();
    let launch = pitch();
    let from_m = launch.release_m[1];
    let at_release = Arrival {
        time_s: 0.0,
        position_m: launch.release_m,
        velocity_m_s: launch.velocity_m_s,
    };
    let intervals = 100;
    let along: Vec<Arrival> = (0..=intervals)
        .map(|i| match i {
            0 => at_release,
            _ => {
                let left = f64::from(intervals - i) / f64::from(intervals);
                flight.fly(&launch, from_m * left).unwrap()
            }
        })
        .collect();
    let energy = |at: &Arrival| at.speed_m_s().powi(2) / 2.0 + GRAVITY_M_S2 * at.position_m[2];
    let lost = energy(&along[0]) - energy(&along[100]);

    let k_per_m = 0.35 * air_per_m(&flight);
    let work_a_metre = |at: &Arrival| k_per_m * at.speed_m_s().powi(3) / -at.velocity_m_s[1];
    let simpson: f64 = along
        .windows(3)
        .step_by(2)
        .map(|w| work_a_metre(&w[0]) + 4.0 * work_a_metre(&w[1]) + work_a_metre(&w[2]))
        .sum();
    let work = simpson * from_m / f64::from(intervals) / 3.0;
    println!("energy lost {lost:.9} J/kg, work of drag {work:.9} J/kg");
    assert_close(lost, work, 1e-8);
    // Drag takes more than a tenth of the energy: the check has something to see.
    assert!(lost > 0.1 * energy(&along[0]));
}

#[test]
fn a_field_four_times_as_large_is_the_same_game_at_half_the_pace() {
    // Source: dimensional analysis. With gravity and the air kept, lengths
    // times 4 go with times times 2, speeds times 2, spin rates by 2 and a
    // mass times 64; the spin parameter and all coefficients stay.
    let small = Flight::default();
    let large = Flight {
        ball: Ball {
            mass_kg: 64.0 * BASEBALL.mass_kg,
            circumference_m: 4.0 * BASEBALL.circumference_m,
        },
        ..small
    };
    let launch = pitch();
    let large_launch = Launch {
        release_m: launch.release_m.map(|part| 4.0 * part),
        velocity_m_s: launch.velocity_m_s.map(|part| 2.0 * part),
        spin_rad_s: launch.spin_rad_s.map(|part| part / 2.0),
    };
    let one = small.fly(&launch, 0.4).unwrap();
    let four = large.fly(&large_launch, 1.6).unwrap();
    assert_close(four.time_s, 2.0 * one.time_s, 1e-12);
    for i in 0..3 {
        assert_close(four.position_m[i], 4.0 * one.position_m[i], 1e-10);
        assert_close(four.velocity_m_s[i], 2.0 * one.velocity_m_s[i], 1e-10);
    }
}
