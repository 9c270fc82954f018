//! The order of a round: recognised, suggested and made.

use coaching::practice_order::{AT_LEAST, PracticeOrder, Purpose, Recognised, recognised, round};
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
