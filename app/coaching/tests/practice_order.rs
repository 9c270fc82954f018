//! The order of a round: recognised, suggested and made.

use coaching::practice_order::planned::{BallKind, PlanError, Planned};
use coaching::practice_order::{AT_LEAST, PracticeOrder, Purpose, Recognised, recognised, round};
use coaching::vocabulary::{Environment, Hand};
use proptest::prelude::*;

fn of(kinds: &str) -> Recognised {
    recognised(&kinds.chars().collect::<Vec<_>>())
}

const BLOCKED: Recognised = Recognised::Order(PracticeOrder::Blocked);
const SERIAL: Recognised = Recognised::Order(PracticeOrder::Serial);
const RANDOM: Recognised = Recognised::Order(PracticeOrder::Random);

#[test]
fn blocks_turns_and_mixtures_are_told_apart() {
    for (kinds, order) in [
        ("AAAAABBBBB", BLOCKED),
        ("AAABBBCCC", BLOCKED),
        ("AABBCC", BLOCKED),
        ("AAAAAB", BLOCKED),
        ("AAABBBAAABBB", BLOCKED),
        ("AAAABBBBAAAABBBB", BLOCKED),
        ("ABABAB", SERIAL),
        ("ABCABC", SERIAL),
        ("ABCABCAB", SERIAL),
        ("CBACBACBA", SERIAL),
        // Twos in turn are neither one in turn nor blocks.
        ("AABBAABBAABB", RANDOM),
        ("ABCABCACB", RANDOM),
        ("ABBACABCCA", RANDOM),
        ("ABCDEF", RANDOM),
        ("AAAAAA", Recognised::OneKind),
    ] {
        assert_eq!(of(kinds), order, "{kinds}");
    }
}

#[test]
fn below_six_reps_no_order_is_named() {
    assert_eq!(of(""), Recognised::NotYet { more: AT_LEAST });
    assert_eq!(of("ABABA"), Recognised::NotYet { more: 1 });
    assert_eq!(
        of("ABABA").sentence(),
        "The order of this round: not yet, 1 more rep."
    );
}

#[test]
fn a_made_round_has_the_right_balls_and_is_recognised_as_what_it_is() {
    for counts in [&[5, 5][..], &[4, 4, 4], &[8, 8, 8, 8], &[15, 15, 15]] {
        for order in PracticeOrder::ALL {
            for seed in 0..200 {
                let made = round(*order, counts, seed);
                for (kind, count) in counts.iter().enumerate() {
                    let got = made.iter().filter(|place| **place == kind).count();
                    assert_eq!(got, usize::from(*count));
                }
                assert_eq!(
                    recognised(&made),
                    Recognised::Order(*order),
                    "seed {seed}: {made:?}"
                );
            }
        }
    }
}

#[test]
fn the_same_seed_is_the_same_round_and_another_seed_mostly_another() {
    let counts = [6, 6, 6];
    let made = |seed| round(PracticeOrder::Random, &counts, seed);
    assert_eq!(made(7), made(7));
    let others = (0..100).filter(|seed| made(*seed) != made(7)).count();
    assert!(others >= 98, "{others}");
}

/// Every kind comes at every place about as often: three in 3,000 rounds of
/// twelve give 1,000 each; the bounds are six standard deviations (26) away.
#[test]
fn a_round_at_random_favours_no_kind_at_any_place() {
    let mut seen = [[0_i32; 3]; 12];
    for seed in 0..3_000 {
        for (place, kind) in round(PracticeOrder::Random, &[4, 4, 4], seed)
            .iter()
            .enumerate()
        {
            seen[place][*kind] += 1;
        }
    }
    for (place, kinds) in seen.iter().enumerate() {
        for count in kinds {
            assert!((count - 1_000).abs() < 156, "place {place}: {kinds:?}");
        }
    }
}

#[test]
fn a_turn_goes_on_with_the_kinds_that_are_left() {
    let made = round(PracticeOrder::Serial, &[3, 1, 2], 0);
    assert_eq!(made, [0, 1, 2, 0, 2, 0]);
    assert_eq!(round(PracticeOrder::Blocked, &[2, 0, 1], 0), [0, 0, 2]);
    assert_eq!(round(PracticeOrder::Random, &[], 1), [0; 0]);
    assert_eq!(round(PracticeOrder::Serial, &[], 1), [0; 0]);
}

#[test]
fn each_purpose_has_its_order_and_every_suggestion_is_a_sentence() {
    assert_eq!(Purpose::NewMove.order(), PracticeOrder::Blocked);
    assert_eq!(Purpose::Settling.order(), PracticeOrder::Serial);
    assert_eq!(Purpose::Game.order(), PracticeOrder::Random);
    let all = [
        Recognised::NotYet { more: 2 },
        Recognised::OneKind,
        BLOCKED,
        SERIAL,
        RANDOM,
    ];
    for purpose in Purpose::ALL {
        for was in all {
            assert!(purpose.suggestion(was).ends_with('.'));
            assert!(was.sentence().ends_with('.'));
        }
    }
    assert!(Purpose::Game.suggestion(BLOCKED).contains("at random"));
    assert!(Purpose::NewMove.suggestion(RANDOM).contains("one kind"));
}

proptest! {
    #[test]
    fn names_of_kinds_do_not_matter(kinds in prop::collection::vec(0_u8..4, 0..40)) {
        let renamed: Vec<_> = kinds.iter().map(|kind| format!("kind {}", 9 - kind)).collect();
        prop_assert_eq!(recognised(&kinds), recognised(&renamed));
    }
}

fn kinds() -> Vec<BallKind> {
    let of = |environment, feed, pitch| BallKind {
        environment,
        feed,
        pitch,
    };
    vec![
        of(Environment::Tee, None, None),
        of(
            Environment::Machine,
            Some(Hand::Right),
            Some("baseball-breaking"),
        ),
        of(Environment::FrontToss, Some(Hand::Left), None),
    ]
}

#[test]
fn a_planned_round_names_every_ball_and_then_its_end() {
    for order in PracticeOrder::ALL {
        let planned = Planned::new(*order, kinds(), 4, 7).unwrap();
        let named: Vec<BallKind> = (0..12).map(|n| planned.after(n).unwrap()).collect();
        for kind in kinds() {
            assert_eq!(named.iter().filter(|named| **named == kind).count(), 4);
        }
        assert_eq!(recognised(&named), Recognised::Order(*order));
        assert_eq!(planned.after(12), None);
        assert_eq!(planned.sentence(12), "The round of 12 balls is over.");
    }
    let blocked = Planned::new(PracticeOrder::Blocked, kinds(), 4, 7).unwrap();
    assert_eq!(
        blocked.sentence(4),
        "Next: Machine, as from a right-hander, Breaking ball. Ball 5 of 12."
    );
}

#[test]
fn another_seed_is_another_order_and_the_same_one_the_same() {
    let of = |seed| Planned::new(PracticeOrder::Random, kinds(), 6, seed).unwrap();
    assert_eq!(of(11), of(11));
    let orders: Vec<Vec<_>> = (0..50)
        .map(|seed| (0..18).map(|n| of(seed).after(n)).collect())
        .collect();
    let first = orders.iter().filter(|order| **order == orders[0]).count();
    assert!(first < 3, "{first} of 50 are one order");
}

#[test]
fn kinds_and_numbers_out_of_range_are_refused() {
    let of = |n: usize, each| {
        let kinds = kinds().into_iter().cycle().take(n).collect();
        Planned::new(PracticeOrder::Serial, kinds, each, 1)
    };
    assert_eq!(of(1, 5), Err(PlanError::Kinds { given: 1 }));
    assert_eq!(of(7, 5), Err(PlanError::Kinds { given: 7 }));
    assert_eq!(of(2, 0), Err(PlanError::Each { given: 0 }));
    assert_eq!(of(2, 21), Err(PlanError::Each { given: 21 }));
    assert_eq!(of(2, 300), Err(PlanError::Each { given: 300 }));
    assert!(of(6, 20).is_ok());
}

#[test]
fn a_kind_is_read_from_its_own_code_and_from_no_other() {
    for kind in kinds() {
        assert_eq!(BallKind::from_code(&kind.code()), Some(kind));
    }
    for wrong in [
        "",
        "tee",
        "tee.none",
        "tee.none.none.more",
        "moon.none.none",
        "tee.up.none",
        "tee.none.spitball",
    ] {
        assert_eq!(BallKind::from_code(wrong), None, "{wrong}");
    }
}
