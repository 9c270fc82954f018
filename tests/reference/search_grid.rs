//! The set-up search against a grid of brute force over hundreds of targets.

mod search_cases;

use flight::units::{ft_to_m, m_to_ft, mph_to_m_s, rad_to_deg};
use flight::{Arrival, Launch, MatchError, Question, Solution, Span, Spin, Wheels};
use proptest::strategy::{Strategy, ValueTree};
use search_cases::{Case, any_case};

fn cases(number: usize, reachable: bool) -> Vec<Case> {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let strategy = any_case(reachable);
    let mut one = || strategy.new_tree(&mut runner).expect("a case").current();
    (0..number).map(|_| one()).collect()
}

/// The miss as our issue defines it: the root of the sum of squares over 5 ms,
/// 0.25 degrees, 0.25 degrees, 100 rpm. Written out here apart from the search.
fn miss(question: &Question, arrival: &Arrival, spin: Spin) -> f64 {
    let game = question
        .pitch
        .thrown(&question.flight)
        .expect("a pitch")
        .arrival;
    let degrees = |a: f64, b: f64| rad_to_deg(a - b) / 0.25;
    let left = spin.minus(question.pitch.spin);
    let squares = ((arrival.time_s - game.time_s) / 0.005).powi(2)
        + degrees(arrival.descent_rad(), game.descent_rad()).powi(2)
        + degrees(arrival.side_angle_rad(), game.side_angle_rad()).powi(2)
        + (left.backspin_rpm.powi(2) + left.sidespin_rpm.powi(2)) / 1e4;
    squares.sqrt()
}

/// One point of the grid: distance, ft, speed, mph, elevation, rad, turn, rad,
/// and where in the spans of its wheels the spin is set, 0 to 1.
type GridPoint = [f64; 6];

/// The miss of a grid point, if the machine may stand there.
///
/// Drag and lift do not depend on place, so one flight tells from which height
/// and side this launch passes the target: the grid needs no aim, and shares
/// nothing with the search but the flight.
fn grid_miss(question: &Question, point: GridPoint) -> Option<f64> {
    let [distance_ft, speed_mph, up, turn, spin_0, spin_1] = point;
    let speed_m_s = mph_to_m_s(speed_mph);
    let spin = match question.machine.wheels {
        Wheels::Arm { backspin_rpm } => Spin::backspin(backspin_rpm),
        Wheels::One {
            tilt_deg,
            plate_slip,
        } => {
            let surface_m_s = speed_m_s * (1.0 - plate_slip) / (1.0 + plate_slip);
            let rpm = surface_m_s / question.flight.ball.radius_m() * 30.0 / std::f64::consts::PI;
            Spin::tilted(rpm, tilt_deg, 0.0)
        }
        Wheels::Two { tilt_deg, spin_rpm } => Spin::tilted(spin_rpm.at(spin_0), tilt_deg, 0.0),
        Wheels::Three {
            backspin_rpm,
            sidespin_rpm,
        } => Spin {
            backspin_rpm: backspin_rpm.at(spin_0),
            sidespin_rpm: sidespin_rpm.at(spin_1),
            gyro_rpm: 0.0,
        },
    };
    let launch = Launch {
        release_m: [0.0, ft_to_m(distance_ft), 0.0],
        velocity_m_s: [
            speed_m_s * up.cos() * turn.sin(),
            -speed_m_s * up.cos() * turn.cos(),
            speed_m_s * up.sin(),
        ],
        spin_rad_s: spin.vector_rad_s(),
    };
    let target_m = question.pitch.target_m();
    let arrival = question
        .flight
        .fly_through_ground(&launch, target_m[1])
        .ok()?;
    let side_ft = m_to_ft(target_m[0] - arrival.position_m[0]);
    let height_ft = m_to_ft(target_m[2] - arrival.position_m[2]);
    let inside =
        question.machine.height_ft.contains(height_ft) && question.room.side_ft.contains(side_ft);
    inside.then(|| miss(question, &arrival, spin))
}

/// The least miss of a grid of `counts` points a variable, drawn together
/// `zooms` times around its best point.
fn best_of_grid(question: &Question, counts: [usize; 6], zooms: usize) -> Option<f64> {
    let machine = &question.machine;
    let limits = [
        question.room.distance_ft,
        machine.speed_mph,
        Span::new(-0.12, 0.35),
        Span::new(-0.12, 0.12),
        Span::new(0.0, 1.0),
        Span::new(0.0, 1.0),
    ];
    let on_a_mark = |mph: f64| match machine.speed_step_mph {
        0.0 => mph,
        step => {
            let down = ((mph - machine.speed_mph.min) / step).round() * step;
            let up_to = ((machine.speed_mph.width() / step) + 1e-9).floor() * step;
            machine.speed_mph.min + down.min(up_to)
        }
    };
    let mut spans = limits;
    let mut best: Option<(f64, GridPoint)> = None;
    for _ in 0..=zooms {
        for number in 0..counts.iter().product() {
            let mut rest = number;
            let mut point: GridPoint = std::array::from_fn(|i| {
                let at = rest % counts[i];
                rest /= counts[i];
                match counts[i] {
                    1 => spans[i].middle(),
                    count => spans[i].at(at as f64 / (count - 1) as f64),
                }
            });
            point[1] = on_a_mark(point[1]);
            if let Some(miss) = grid_miss(question, point)
                && best.is_none_or(|(least, _)| miss < least)
            {
                best = Some((miss, point));
            }
        }
        let (_, around) = best?;
        spans = std::array::from_fn(|i| {
            let half = spans[i].width() / counts[i].max(2) as f64;
            let Span { min, max } = limits[i];
            Span::new((around[i] - half).max(min), (around[i] + half).min(max))
        });
    }
    best.map(|(miss, _)| miss)
}

fn spins(question: &Question) -> [usize; 2] {
    match question.machine.wheels {
        Wheels::Arm { .. } | Wheels::One { .. } => [1, 1],
        Wheels::Two { .. } => [3, 1],
        Wheels::Three { .. } => [3, 3],
    }
}

/// What the search found, matching or not.
fn found(question: &Question) -> Solution {
    match question.best() {
        Ok(solution) => solution,
        Err(MatchError::CannotMatch(cannot)) => cannot.closest,
        Err(other) => panic!("{other}: {question:?}"),
    }
}

/// The miss of a solution, its ball flown again; and that it is inside all
/// limits and passes the target.
fn simulated_miss(question: &Question, solution: &Solution) -> f64 {
    let (machine, room) = (&question.machine, &question.room);
    let inside = |span: Span, value: f64| span.min - 1e-9 <= value && value <= span.max + 1e-9;
    assert!(
        inside(room.distance_ft, solution.distance_ft),
        "{solution:?}"
    );
    assert!(inside(room.side_ft, solution.side_ft), "{solution:?}");
    assert!(
        inside(machine.height_ft, solution.height_ft),
        "{solution:?}"
    );
    assert!(
        inside(machine.speed_mph, solution.speed_mph),
        "{solution:?}"
    );
    if machine.speed_step_mph > 0.0 {
        let marks = (solution.speed_mph - machine.speed_mph.min) / machine.speed_step_mph;
        assert!((marks - marks.round()).abs() < 1e-9, "{solution:?}");
    }
    let target_m = question.pitch.target_m();
    let flown = question
        .flight
        .fly(&solution.machine_launch, target_m[1])
        .expect("it flew before");
    for (passed, target) in flown.position_m.iter().zip(target_m) {
        assert!((passed - target).abs() < 1e-8, "{flown:?}");
    }
    miss(question, &flown, solution.spin)
}

#[test]
fn of_500_reachable_pitches_none_is_missed() {
    // Source: a set-up inside the limits that throws the very pitch, so the
    // best miss is 0; beside it a grid of brute force. Allowed by our issue:
    // 1.01 times the best plus 1e-6.
    let mut worst: f64 = 0.0;
    let mut grid_mean = 0.0;
    let cases = cases(500, true);
    for Case { question, answer } in &cases {
        let answer = answer.expect("a reachable case");
        let throw = question
            .flight
            .aim_with_spin(
                [answer.side_ft, answer.distance_ft, answer.height_ft].map(ft_to_m),
                mph_to_m_s(answer.speed_mph),
                answer.spin.vector_rad_s(),
                question.pitch.target_m(),
            )
            .expect("the answer throws the pitch");
        let known = miss(question, &throw.arrival, answer.spin);
        let [spin_0, spin_1] = spins(question);
        let grid = best_of_grid(question, [3, 4, 4, 3, spin_0, spin_1], 0);
        let best = grid.unwrap_or(f64::INFINITY).min(known);
        let ours = simulated_miss(question, &found(question));
        assert!(
            ours <= 1.01 * best + 1e-6,
            "{ours} {best}\n{question:?}\n{answer:?}"
        );
        worst = worst.max(ours);
        grid_mean += grid.unwrap_or(0.0) / cases.len() as f64;
    }
    println!(
        "worst miss over {}: {worst:.1e}; the plain grid's mean {grid_mean:.1}",
        cases.len()
    );
}

#[test]
fn where_limits_stand_in_the_way_no_grid_finds_better() {
    // Source: brute force, drawn together around its best point. These game
    // pitches are mostly out of the machine's reach.
    let cases = cases(60, false);
    let mut compared = 0;
    let mut closest_race = f64::INFINITY;
    for Case { question, .. } in &cases {
        let ours = simulated_miss(question, &found(question));
        let [spin_0, spin_1] = spins(question);
        let Some(grid) = best_of_grid(question, [3, 3, 4, 3, spin_0, spin_1], 6) else {
            continue;
        };
        assert!(ours <= 1.01 * grid + 1e-6, "{ours} {grid}\n{question:?}");
        compared += 1;
        if ours > 0.1 {
            closest_race = closest_race.min(grid / ours);
        }
    }
    println!("{compared} compared; the grid came as near as {closest_race:.4} times our miss");
    assert!(compared >= 40 && closest_race < 1.1);
}
