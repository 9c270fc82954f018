//! The ball on the bat: against the contact integrated in time by SciPy, and the
//! identities of mechanics and of the trade.

use coaching::contact::collision::{Bodies, Motion, Swing, Toss, Vector};
use flight::BASEBALL;
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    made_by: String,
    rows: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    swing: SwingRow,
    toss: TossRow,
    bodies: BodiesRow,
    batted: BattedRow,
}

#[derive(Deserialize)]
struct SwingRow {
    bat_speed_mph: f64,
    face_deg: f64,
    attack_deg: f64,
    tilt_deg: f64,
    depth_in: f64,
    offset_in: f64,
}

#[derive(Deserialize)]
struct TossRow {
    from_deg: f64,
    down_deg: f64,
    speed_mph: f64,
}

#[derive(Deserialize)]
struct BodiesRow {
    bat_mass_kg: f64,
    barrel_radius_m: f64,
    restitution: f64,
    friction: f64,
}

#[derive(Deserialize)]
struct BattedRow {
    toward_opposite_deg: f64,
    launch_deg: f64,
    speed_mph: f64,
    slides: bool,
}

#[test]
fn the_ball_leaves_as_when_the_contact_is_integrated() {
    let table: Table = serde_json::from_str(include_str!("contact_collision_table.json")).unwrap();
    assert!(table.made_by.contains("SciPy"), "{}", table.made_by);
    assert_eq!(table.rows.len(), 40);
    // Both kinds of contact are in it.
    let sliding = table.rows.iter().filter(|row| row.batted.slides).count();
    assert!((5..35).contains(&sliding), "{sliding}");
    for (place, row) in table.rows.iter().enumerate() {
        let Row {
            swing,
            toss,
            bodies,
            batted,
        } = row;
        let ours = Swing {
            bat_speed_mph: swing.bat_speed_mph,
            face_deg: swing.face_deg,
            attack_deg: swing.attack_deg,
            tilt_deg: swing.tilt_deg,
            depth_in: swing.depth_in,
            offset_in: swing.offset_in,
        }
        .hit(
            &Bodies {
                ball: BASEBALL,
                bat_mass_kg: bodies.bat_mass_kg,
                barrel_radius_m: bodies.barrel_radius_m,
                restitution: bodies.restitution,
                friction: bodies.friction,
            },
            Toss {
                from_deg: toss.from_deg,
                down_deg: toss.down_deg,
                speed_mph: toss.speed_mph,
            },
        )
        .unwrap();
        for (ours, theirs) in [
            (ours.toward_opposite_deg, batted.toward_opposite_deg),
            (ours.launch_deg, batted.launch_deg),
            (ours.speed_mph, batted.speed_mph),
        ] {
            assert!((ours - theirs).abs() < 1e-4, "row {place}: {ours} {theirs}");
        }
    }
}

fn level_swing() -> Swing {
    Swing {
        bat_speed_mph: 60.0,
        face_deg: 0.0,
        attack_deg: 0.0,
        tilt_deg: 0.0,
        depth_in: 0.0,
        offset_in: 0.0,
    }
}

const AHEAD: Toss = Toss {
    from_deg: 0.0,
    down_deg: 0.0,
    speed_mph: 20.0,
};

#[test]
fn a_level_bat_that_meets_the_middle_of_a_straight_ball_sends_it_to_the_middle() {
    for tilt_deg in [0.0, 30.0] {
        let swing = Swing {
            tilt_deg,
            ..level_swing()
        };
        let ball = swing.hit(&Bodies::default(), AHEAD).unwrap();
        assert!(ball.toward_opposite_deg.abs() < 1e-12 && ball.launch_deg.abs() < 1e-12);
        // Textbook, one dimension: v' = e_A v + (1 + e_A) V with the collision
        // efficiency e_A = (e - r) / (1 + r), r the ball's mass over the bat's
        // (Nathan, Am. J. Phys. 71, 134, 2003, from memory).
        let r = BASEBALL.mass_kg / 0.6;
        let efficiency = (0.5 - r) / (1.0 + r);
        let expected_mph = efficiency * 20.0 + (1.0 + efficiency) * 60.0;
        assert!((ball.speed_mph - expected_mph).abs() < 1e-9);
        assert!((0.19..0.22).contains(&efficiency), "{efficiency}");
    }
}

#[test]
fn undercut_goes_up_topped_goes_down_and_a_miss_is_none() {
    let at = |offset_in: f64| {
        let swing = Swing {
            offset_in,
            ..level_swing()
        };
        swing.hit(&Bodies::default(), AHEAD)
    };
    let mut last_deg = -90.0;
    for tenths in -20..=20 {
        let ball = at(f64::from(tenths) / 10.0).unwrap();
        assert!(ball.launch_deg > last_deg, "{tenths}");
        last_deg = ball.launch_deg;
    }
    // The radii together: 1.25 in and 9.125 in over 2 pi.
    let reach_in = 1.25 + 9.125 / (2.0 * std::f64::consts::PI);
    assert!(at(reach_in - 0.01).is_some());
    assert!(at(reach_in + 0.01).is_none() && at(-reach_in - 0.01).is_none());
    assert!(at(f64::NAN).is_none());
}

#[test]
fn a_hanging_bat_sends_undercut_balls_to_the_opposite_side_and_topped_ones_to_the_pull_side() {
    let toward = |offset_in: f64| {
        let swing = Swing {
            tilt_deg: 30.0,
            offset_in,
            ..level_swing()
        };
        let ball = swing.hit(&Bodies::default(), AHEAD).unwrap();
        ball.toward_opposite_deg
    };
    assert!(toward(0.8) > 5.0 && toward(-0.8) < -5.0);
    assert!((toward(0.8) + toward(-0.8)).abs() < 1e-9);
}

#[test]
fn met_out_front_goes_to_the_pull_side_and_deep_to_the_opposite_side() {
    let toward = |depth_in: f64| {
        let swing = Swing {
            depth_in,
            ..level_swing()
        };
        let ball = swing.hit(&Bodies::default(), AHEAD).unwrap();
        ball.toward_opposite_deg
    };
    assert!(toward(4.0) < -5.0 && toward(-4.0) > 5.0);
}

#[test]
fn a_ball_that_is_not_approached_is_not_hit() {
    let slow = Swing {
        bat_speed_mph: 10.0,
        ..level_swing()
    };
    let away = Toss {
        speed_mph: -20.0,
        ..AHEAD
    };
    assert_eq!(slow.hit(&Bodies::default(), away), None);
}

fn vector(size: f64) -> impl Strategy<Value = Vector> {
    prop::array::uniform3(-size..size)
}

fn bodies() -> impl Strategy<Value = Bodies> {
    (0.2..1.5, 0.0..=1.0, 0.0..1.5).prop_map(|(bat_mass_kg, restitution, friction)| Bodies {
        bat_mass_kg,
        restitution,
        friction,
        ..Bodies::default()
    })
}

fn dot(a: Vector, b: Vector) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Kinetic energy of ball, its turning, and the bat, J.
fn energy(bodies: &Bodies, motion: &Motion) -> f64 {
    let ball = bodies.ball;
    let inertia = 0.4 * ball.mass_kg * ball.radius_m().powi(2);
    0.5 * (ball.mass_kg * dot(motion.ball_m_s, motion.ball_m_s)
        + inertia * dot(motion.spin_rad_s, motion.spin_rad_s)
        + bodies.bat_mass_kg * dot(motion.bat_m_s, motion.bat_m_s))
}

proptest! {
    #[test]
    fn energy_never_grows_and_momentum_stays(
        bodies in bodies(), ball_m_s in vector(40.0), spin_rad_s in vector(300.0),
        bat_m_s in vector(40.0), normal in vector(1.0),
    ) {
        let size = dot(normal, normal).sqrt();
        prop_assume!(size > 1e-3);
        let normal = normal.map(|part| part / size);
        let before = Motion { ball_m_s, spin_rad_s, bat_m_s };
        let after = bodies.collide(before, normal);
        let (had, has) = (energy(&bodies, &before), energy(&bodies, &after));
        prop_assert!(has <= had * (1.0 + 1e-12), "{had} {has}");
        let mass_kg = bodies.ball.mass_kg;
        for i in 0..3 {
            let had = mass_kg * before.ball_m_s[i] + bodies.bat_mass_kg * before.bat_m_s[i];
            let has = mass_kg * after.ball_m_s[i] + bodies.bat_mass_kg * after.bat_m_s[i];
            prop_assert!((had - has).abs() < 1e-9);
        }
        // Along the normal: turned round by the restitution, if they approach.
        let along = |motion: &Motion| {
            dot(motion.ball_m_s, normal) - dot(motion.bat_m_s, normal)
        };
        if along(&before) < 0.0 {
            let wanted = -bodies.restitution * along(&before);
            prop_assert!((along(&after) - wanted).abs() < 1e-9);
        } else {
            prop_assert_eq!(after, before);
        }
        // About the point of contact the ball gets no turning: r m v x n there
        // and its own spin change together.
        let lever = bodies.ball.radius_m();
        let inertia = 0.4 * mass_kg * lever * lever;
        let gained: Vector = [0, 1, 2].map(|i| after.ball_m_s[i] - before.ball_m_s[i]);
        let turned: Vector = [0, 1, 2].map(|i| after.spin_rad_s[i] - before.spin_rad_s[i]);
        let about = [
            normal[1] * gained[2] - normal[2] * gained[1],
            normal[2] * gained[0] - normal[0] * gained[2],
            normal[0] * gained[1] - normal[1] * gained[0],
        ];
        for i in 0..3 {
            prop_assert!((lever * mass_kg * about[i] + inertia * turned[i]).abs() < 1e-9);
        }
    }

    #[test]
    fn the_mirror_image_of_a_contact_is_the_contact_of_the_mirror_image(
        bodies in bodies(), ball_m_s in vector(40.0), spin_rad_s in vector(300.0),
        bat_m_s in vector(40.0), normal in vector(1.0),
    ) {
        let size = dot(normal, normal).sqrt();
        prop_assume!(size > 1e-3);
        let normal = normal.map(|part| part / size);
        // A spin is mirrored the other way round than a velocity.
        let of = |[x, y, z]: Vector| [-x, y, z];
        let of_spin = |[x, y, z]: Vector| [x, -y, -z];
        let before = Motion { ball_m_s, spin_rad_s, bat_m_s };
        let mirrored = |motion: Motion| Motion {
            ball_m_s: of(motion.ball_m_s),
            spin_rad_s: of_spin(motion.spin_rad_s),
            bat_m_s: of(motion.bat_m_s),
        };
        let one = mirrored(bodies.collide(before, normal));
        let other = bodies.collide(mirrored(before), of(normal));
        for i in 0..3 {
            prop_assert!((one.ball_m_s[i] - other.ball_m_s[i]).abs() < 1e-9);
            prop_assert!((one.spin_rad_s[i] - other.spin_rad_s[i]).abs() < 1e-6);
        }
    }

    #[test]
    fn turning_bat_and_toss_together_turns_the_ball_as_much(
        turn_deg in -30.0..30.0, from_deg in -40.0..40.0, attack_deg in -15.0..25.0,
        offset_in in -1.0..1.0, tilt_deg in 0.0..40.0,
    ) {
        let hit = |turn_deg: f64| {
            let swing = Swing {
                face_deg: turn_deg, attack_deg, offset_in, tilt_deg, ..level_swing()
            };
            let toss = Toss { from_deg: from_deg + turn_deg, ..AHEAD };
            swing.hit(&Bodies::default(), toss).unwrap()
        };
        let (straight, turned) = (hit(0.0), hit(turn_deg));
        let off_deg = turned.toward_opposite_deg - straight.toward_opposite_deg - turn_deg;
        prop_assert!(off_deg.abs() < 1e-9);
        prop_assert!((turned.launch_deg - straight.launch_deg).abs() < 1e-9);
    }
}
