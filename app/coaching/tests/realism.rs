//! Each environment beside the game pitch: against closed forms without air,
//! against the set-up search's own leftovers, and in words.

use coaching::cards::{Component, card};
use coaching::realism::closer::{Firmness, Suggestion, firm_enough};
use coaching::realism::feeds::usual;
use coaching::realism::{Fed, Game, Near, Realism, scale};
use coaching::vocabulary::{Environment, Hand, Side};
use flight::units::{ft_to_m, mph_to_m_s};
use flight::{
    Air, BASEBALL, Flight, GRAVITY_M_S2, LEVELS, MatchError, Pitch, Placed, Plane, Question, Spin,
    UnitSystem, level,
};

fn adult() -> Game {
    Game::usual(
        level("baseball-adult").unwrap(),
        Air::default(),
        Hand::Right,
    )
}

fn fed(environment: Environment) -> Fed {
    usual(environment, BASEBALL, Side::Right, Hand::Right).unwrap()
}

fn realism(environment: Environment) -> Realism {
    Realism::of(environment, fed(environment), &adult()).unwrap()
}

fn here(realism: &Realism, component: Component) -> f64 {
    realism.part(component).here.unwrap()
}

const TOSSED: [Environment; 4] = [
    Environment::FrontToss,
    Environment::SideToss,
    Environment::AngledToss,
    Environment::ShortBattingPractice,
];

/// The design's reference pitch: 0.42923 s, 83.502 mph, 4.9265 degrees down,
/// 1.2989 to the side at the back point of the plate.
#[test]
fn the_game_pitch_is_the_verified_one() {
    let game = Game {
        flight: Flight::default(),
        pitch: level("baseball-adult").unwrap().game_pitch().into(),
        swing_s: 0.15,
    };
    let realism = Realism::of(Environment::Tee, Fed::NoFlight, &game).unwrap();
    for (component, value, within) in [
        (Component::Time, 0.42923, 1e-5),
        (Component::Speed, 83.502, 1e-3),
        (Component::Descent, 4.9265, 1e-4),
        (Component::SideAngle, 1.2989, 1e-4),
        (Component::Spin, 2200.0, 1e-9),
        (Component::Decision, 0.27923, 1e-5),
    ] {
        let ours = realism.part(component).game;
        assert!((ours - value).abs() < within, "{component:?}: {ours}");
    }
}

/// Without air a toss is a parabola. Its elevation follows from distance, height
/// and speed (the quadratic of any textbook), and from it everything else.
#[test]
fn a_toss_without_air_is_the_parabola() {
    let game = Game {
        flight: Flight {
            air: Air { density_kg_m3: 0.0 },
            ..adult().flight
        },
        ..adult()
    };
    for environment in TOSSED {
        let Fed::Ball(placed) = fed(environment) else {
            panic!("{environment:?}");
        };
        let realism = Realism::of(environment, fed(environment), &game).unwrap();
        let target_m = game.pitch.target_m();
        let ahead_m = ft_to_m(placed.distance_ft) - target_m[1];
        let side_m = ft_to_m(placed.side_ft);
        let level_m = ahead_m.hypot(side_m);
        let rise_m = target_m[2] - ft_to_m(placed.height_ft);
        let (v, g) = (mph_to_m_s(placed.speed_mph), GRAVITY_M_S2);
        // rise = level tan - g level^2 (1 + tan^2) / (2 v^2), the flat root.
        let a = g * level_m * level_m / (2.0 * v * v);
        let tan = (level_m - (level_m * level_m - 4.0 * a * (a + rise_m)).sqrt()) / (2.0 * a);
        let time_s = level_m * (1.0 + tan * tan).sqrt() / v;
        let level_speed = level_m / time_s;
        let down_speed = g * time_s - level_speed * tan;
        // The descent of `flight` is against the speed along the field.
        let along_speed = ahead_m / time_s;
        let speed_m_s = (v * v - 2.0 * g * rise_m).sqrt();
        for (component, value) in [
            (Component::Time, time_s),
            (
                Component::Descent,
                down_speed.atan2(along_speed).to_degrees(),
            ),
            (Component::SideAngle, (-side_m).atan2(ahead_m).to_degrees()),
            (Component::Speed, flight::units::m_s_to_mph(speed_m_s)),
            (Component::Decision, time_s - 0.15),
        ] {
            let ours = here(&realism, component);
            assert!(
                (ours - value).abs() < 1e-6,
                "{environment:?} {component:?}: {ours} {value}"
            );
        }
    }
}

/// What a machine set up by the search differs in is what the search says is
/// left over: found by two ways, the search's and a fresh flight.
#[test]
fn a_machine_as_the_set_up_says_differs_by_what_the_set_up_leaves_over() {
    for level in LEVELS {
        let mut question = Question::usual(level, Air::default());
        question.pitch = Pitch {
            met_at: Plane::TYPICAL_CONTACT,
            ..question.pitch
        };
        let best = match question.best() {
            Err(MatchError::CannotMatch(cannot)) => cannot.closest,
            other => other.unwrap(),
        };
        let game = Game::usual(level, Air::default(), Hand::Right);
        assert_eq!(game.pitch, question.pitch);
        let machine = Fed::Ball(Placed::from(&best));
        let realism = Realism::of(Environment::Machine, machine, &game).unwrap();
        let left = best.leftover;
        for (component, value) in [
            (Component::Time, left.time_s),
            (Component::Decision, left.time_s),
            (Component::Descent, left.descent_deg),
            (Component::SideAngle, left.side_angle_deg),
            (Component::Speed, left.speed_at_plate_mph),
            (Component::Spin, best.leftover_spin.moving_rpm()),
        ] {
            let ours = realism.part(component).difference.unwrap();
            assert!(
                (ours - value).abs() < 1e-6,
                "{} {component:?}: {ours} {value}",
                level.id
            );
        }
        assert_eq!(
            realism.part(Component::Time).near,
            Near::Same,
            "{}",
            level.id
        );
    }
}

#[test]
fn the_game_pitch_itself_is_no_different_from_the_game_pitch() {
    let game = adult();
    let pitch = game.pitch;
    let itself = Placed {
        distance_ft: pitch.release.distance_ft,
        height_ft: pitch.release.height_ft,
        side_ft: pitch.release.side_ft,
        speed_mph: pitch.speed_mph,
        spin: pitch.spin,
        ball: game.flight.ball,
    };
    let realism = Realism::of(Environment::Machine, Fed::Ball(itself), &game).unwrap();
    for part in realism.parts {
        assert!(part.difference.unwrap().abs() < 1e-9, "{part:?}");
        assert_eq!(part.near, Near::Same);
    }
}

#[test]
fn where_no_ball_flies_every_component_says_none_and_nothing_is_made_up() {
    for environment in [Environment::Tee, Environment::MedicineBall] {
        let realism = realism(environment);
        for part in realism.parts {
            assert_eq!((part.here, part.difference), (None, None));
            assert_eq!(part.near, Near::NoFlight);
            assert!(
                part.sentence(UnitSystem::Imperial)
                    .contains("none, as no ball flies")
            );
        }
    }
    for environment in [Environment::Live, Environment::Game] {
        let realism = realism(environment);
        assert!(realism.parts.iter().all(|part| part.near == Near::Pitched));
        assert_eq!(realism.closer(), []);
    }
    assert_eq!(
        usual(Environment::Machine, BASEBALL, Side::Right, Hand::Right),
        None
    );
}

#[test]
fn the_parts_stand_in_the_order_of_the_components() {
    for environment in Environment::ALL {
        if *environment != Environment::Machine {
            let parts = realism(*environment).parts.map(|part| part.component);
            assert_eq!(parts, Component::ALL);
        }
    }
    for component in Component::ALL {
        assert!(scale(*component) > 0.0);
    }
}

#[test]
fn a_side_toss_comes_from_the_open_side_and_an_angled_one_from_the_pitchers() {
    let side_angle = |environment, batted, pitcher| {
        let game = Game::usual(level("baseball-adult").unwrap(), Air::default(), pitcher);
        let fed = usual(environment, BASEBALL, batted, pitcher).unwrap();
        here(
            &Realism::of(environment, fed, &game).unwrap(),
            Component::SideAngle,
        )
    };
    // The open side of who bats right is the first-base side: the ball moves
    // away from it, so its angle is negative.
    let right = side_angle(Environment::SideToss, Side::Right, Hand::Right);
    let left = side_angle(Environment::SideToss, Side::Left, Hand::Right);
    assert!(
        right < -30.0 && (right + left).abs() < 1e-6,
        "{right} {left}"
    );
    let angled = side_angle(Environment::AngledToss, Side::Right, Hand::Right);
    let other = side_angle(Environment::AngledToss, Side::Right, Hand::Left);
    assert!(angled > 10.0 && (angled + other).abs() < 1e-6, "{angled}");
}

#[test]
fn the_words_say_here_game_and_difference() {
    let toss = realism(Environment::FrontToss);
    let speed = toss.part(Component::Speed).sentence(UnitSystem::Imperial);
    assert!(
        speed.starts_with("Speed: 21 mph. Game pitch: 84 mph. Here: 63 mph slower, far off."),
        "{speed}"
    );
    for part in toss.parts {
        let sentence = part.sentence(UnitSystem::Imperial);
        for word in ["Game pitch: ", "Here: ", ": "] {
            assert!(sentence.contains(word), "{sentence}");
        }
        assert!(!sentence.contains("score"));
    }
    let practice = realism(Environment::ShortBattingPractice);
    let descent = practice
        .part(Component::Descent)
        .sentence(UnitSystem::Imperial);
    assert!(descent.contains("degrees steeper"), "{descent}");
    let side = practice
        .part(Component::SideAngle)
        .sentence(UnitSystem::Imperial);
    assert!(
        side.contains("Game pitch: 1.3 degrees from the third-base side"),
        "{side}"
    );
}

/// 21 mph are 33.8 km/h, 84 mph are 135.2 km/h: a mile is 1.609344 km by definition.
#[test]
fn a_speed_is_said_in_the_unit_of_the_phone_and_the_numbers_add_up() {
    let toss = realism(Environment::FrontToss);
    let speed = toss.part(Component::Speed);
    let [_, here, game, difference] = speed.cells(UnitSystem::Metric);
    let number = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
    for (shown, mph) in [(&here, speed.here.unwrap()), (&game, speed.game)] {
        assert!(shown.ends_with(" km/h"), "{shown}");
        assert!(
            (number(shown) - mph * 1.609_344).abs() <= 0.5,
            "{shown} {mph}"
        );
    }
    assert!(difference.contains(" km/h slower"), "{difference}");
    assert!((number(&game) - number(&here) - number(&difference)).abs() < 1e-9);
    assert_eq!(
        Firmness::Speed(40.0).sentence(UnitSystem::Metric),
        "At 64 km/h it takes as long as the game pitch."
    );
}

#[test]
fn a_ball_fed_too_fast_gets_the_speed_that_takes_as_long_too() {
    let game = adult();
    let Fed::Ball(placed) = fed(Environment::FrontToss) else {
        panic!()
    };
    let fast = Fed::Ball(Placed {
        speed_mph: 60.0,
        ..placed
    });
    let realism = Realism::of(Environment::FrontToss, fast, &game).unwrap();
    assert!(realism.closer().contains(&Suggestion::Softer));
    let Some(Firmness::Speed(speed_mph)) = firm_enough(Environment::FrontToss, fast, &game) else {
        panic!("a front toss can be that soft");
    };
    assert!(speed_mph < 60.0, "{speed_mph}");
    let usual = firm_enough(Environment::FrontToss, fed(Environment::FrontToss), &game);
    assert_eq!(usual, Some(Firmness::Speed(speed_mph)));
}

#[test]
fn each_environment_gets_the_suggestions_that_fit_it() {
    use Suggestion::{
        AngledToss, CallTakeSwing, FirmShortPractice, Firmer, MachineMatch, OpenSetUp, TeeWithGuide,
    };
    let closer = |environment| realism(environment).closer();
    assert_eq!(closer(Environment::MedicineBall), [TeeWithGuide]);
    assert_eq!(closer(Environment::Tee), [TeeWithGuide, MachineMatch]);
    let front = closer(Environment::FrontToss);
    assert!(front.contains(&FirmShortPractice) && front.contains(&MachineMatch));
    assert!(closer(Environment::SideToss).contains(&AngledToss));
    assert!(!closer(Environment::AngledToss).contains(&AngledToss));
    // A front toss of 15 mph takes longer than the game pitch.
    let Fed::Ball(toss) = fed(Environment::FrontToss) else {
        panic!()
    };
    let soft = Fed::Ball(Placed {
        speed_mph: 15.0,
        ..toss
    });
    let soft = Realism::of(Environment::FrontToss, soft, &adult()).unwrap();
    assert!(soft.closer().contains(&Firmer));
    // A machine far from its set-up: 40 mph from 50 ft.
    let slow = Fed::Ball(Placed {
        distance_ft: 50.0,
        height_ft: 5.0,
        side_ft: 0.0,
        speed_mph: 50.0,
        spin: Spin::default(),
        ball: BASEBALL,
    });
    let slow = Realism::of(Environment::Machine, slow, &adult()).unwrap();
    assert_eq!(slow.closer(), [OpenSetUp, CallTakeSwing]);
}

#[test]
fn every_card_that_is_suggested_is_in_the_starting_set_and_fits_its_ball() {
    for suggestion in Suggestion::ALL {
        assert!(suggestion.name().ends_with('.'));
        assert!(!suggestion.components().is_empty());
        if let Some(id) = suggestion.card() {
            let card = card(id).unwrap_or_else(|| panic!("{id}"));
            // A card that does not train a component does not bring it nearer,
            // but for the guide, which shows it.
            for component in suggestion.components() {
                let untrained = card.not_trained.contains(component);
                assert!(!untrained, "{id} {component:?}");
            }
        }
    }
}

#[test]
fn a_firm_enough_toss_takes_as_long_as_the_game_pitch() {
    let game = adult();
    let Some(Firmness::Speed(speed_mph)) =
        firm_enough(Environment::FrontToss, fed(Environment::FrontToss), &game)
    else {
        panic!("the usual front toss can be that firm");
    };
    let Fed::Ball(placed) = fed(Environment::FrontToss) else {
        panic!()
    };
    let firm = Fed::Ball(Placed {
        speed_mph,
        ..placed
    });
    let realism = Realism::of(Environment::FrontToss, firm, &game).unwrap();
    let off_s = realism.part(Component::Time).difference.unwrap();
    assert!(off_s.abs() < 1e-4, "{off_s}");
    // From 45 ft nobody tosses that firm.
    let far = Fed::Ball(Placed {
        distance_ft: 45.0,
        height_ft: 5.0,
        ..placed
    });
    let far = firm_enough(Environment::FrontToss, far, &game);
    assert!(far.is_none_or(|far| matches!(far, Firmness::TooSlow { .. })));
    assert_eq!(firm_enough(Environment::Tee, Fed::NoFlight, &game), None);
}

#[test]
fn a_feed_outside_its_range_is_refused_with_the_field_and_the_range() {
    let Fed::Ball(placed) = fed(Environment::FrontToss) else {
        panic!()
    };
    let wild = Fed::Ball(Placed {
        speed_mph: f64::NAN,
        ..placed
    });
    let refused = Realism::of(Environment::FrontToss, wild, &adult()).unwrap_err();
    let sentence = coaching::Error::from(refused).to_string();
    assert!(
        sentence.contains("Feed speed must be from 5 to 110 mph"),
        "{sentence}"
    );
}

#[test]
fn a_row_of_the_table_has_what_the_sentence_says() {
    for environment in [
        Environment::FrontToss,
        Environment::SideToss,
        Environment::ShortBattingPractice,
    ] {
        for part in &realism(environment).parts {
            let [name, here, game, difference] = part.cells(UnitSystem::Imperial);
            assert_eq!(
                part.sentence(UnitSystem::Imperial)
                    .replace(" degrees", "\u{b0}"),
                format!("{name}: {here}. Game pitch: {game}. Here: {difference}.")
            );
        }
    }
    let tee = realism(Environment::Tee);
    let [_, here, _, difference] = tee.part(Component::Time).cells(UnitSystem::Imperial);
    assert_eq!(
        [here.as_str(), &difference],
        ["none, as no ball flies", "not compared"]
    );
}
