//! What is said of two observers' agreement; kappa itself is checked against
//! outside sources in tests/reference.

use coaching::agreement::{AT_LEAST, Pairs, Strength, paired};
use coaching::vocabulary::Answer::{self, NotSeen, NotYet, Yes};
use proptest::prelude::*;

fn pairs(both_yes: u32, first_yes: u32, second_yes: u32, both_not_yet: u32) -> Pairs {
    Pairs {
        both_yes,
        first_yes,
        second_yes,
        both_not_yet,
    }
}

#[test]
fn only_items_that_both_saw_count() {
    let first = [
        ("a", Yes),
        ("b", NotYet),
        ("c", NotSeen),
        ("d", Yes),
        ("f", Yes),
        ("a", NotYet),
    ];
    let second = [
        ("a", NotYet),
        ("b", Yes),
        ("c", Yes),
        ("e", NotYet),
        ("f", NotSeen),
    ];
    // The first observer changed the answer to "a", and nobody shares d and e.
    assert_eq!(Pairs::of(&first, &second), pairs(0, 0, 1, 1));
    assert_eq!(Pairs::of(&second, &first), pairs(0, 1, 0, 1));
    assert_eq!(Pairs::of(&[], &second).n(), 0);
}

#[test]
fn the_sentence_is_honest_when_little_or_only_one_answer_was_given() {
    for (given, said) in [
        (pairs(0, 0, 0, 0), "There is no item that both saw."),
        (
            pairs(19, 0, 0, 0),
            "Of 19 items that both saw, 19 got the same answer. One observer gave only one of the two answers, so this may be chance: kappa cannot be told.",
        ),
        (
            pairs(30, 5, 0, 0),
            "Of 35 items that both saw, 30 got the same answer. One observer gave only one of the two answers, so this may be chance: kappa cannot be told.",
        ),
        (
            pairs(9, 3, 3, 4),
            "Of 19 items that both saw, 13 got the same answer. That is too few to judge: 20 are needed.",
        ),
        (
            pairs(15, 0, 0, 9),
            "Of 24 items that both saw, 24 got the same answer. Kappa 1.00; its interval cannot be told.",
        ),
        (
            pairs(15, 5, 10, 70),
            "Of 100 items that both saw, 85 got the same answer. Kappa 0.57, 95 percent interval 0.38 to 0.76: moderate agreement, but it may be from fair to substantial.",
        ),
        (
            pairs(5000, 10, 10, 5000),
            "Of 10020 items that both saw, 10000 got the same answer. Kappa 1.00, 95 percent interval 0.99 to 1.00: almost perfect agreement.",
        ),
    ] {
        assert_eq!(given.sentence(), said);
    }
}

#[test]
fn the_words_change_where_landis_and_koch_change_them() {
    // Landis and Koch, Biometrics 33, 159, 1977, from memory.
    for (from, to, word) in [
        (-100, -1, "poor"),
        (0, 20, "slight"),
        (21, 40, "fair"),
        (41, 60, "moderate"),
        (61, 80, "substantial"),
        (81, 100, "almost perfect"),
    ] {
        for hundredths in from..=to {
            let kappa = f64::from(hundredths) / 100.0;
            assert_eq!(Strength::of(kappa).words(), word, "{kappa}");
        }
    }
}

fn answers() -> impl Strategy<Value = Vec<(&'static str, Answer)>> {
    let ids = prop::sample::select(&["a", "b", "c", "d", "e"][..]);
    let answer = prop::sample::select(Answer::ALL);
    prop::collection::vec((ids, answer), 0..12)
}

proptest! {
    #[test]
    fn who_is_called_the_first_observer_does_not_matter(
        (first, second) in (answers(), answers())
    ) {
        let (one, other) = (Pairs::of(&first, &second), Pairs::of(&second, &first));
        prop_assert_eq!(one.n(), other.n());
        prop_assert_eq!(one.agreed(), other.agreed());
        let close = |a: f64, b: f64| (a - b).abs() < 1e-12;
        match (one.kappa(), other.kappa()) {
            (Some(a), Some(b)) => prop_assert!(close(a.kappa, b.kappa) && close(a.standard_error, b.standard_error)),
            (a, b) => prop_assert_eq!(a, b),
        }
    }

    #[test]
    fn what_one_did_not_see_changes_nothing((first, mut second) in (answers(), answers())) {
        let before = Pairs::of(&first, &second);
        second.push(("only here", NotSeen));
        let mut more = first.clone();
        more.push(("only here", Yes));
        prop_assert_eq!(Pairs::of(&more, &second), before);
    }

    #[test]
    fn kappa_lies_within_its_interval_and_no_word_comes_from_few_items(
        counts in prop::array::uniform4(0_u32..40)
    ) {
        let given = pairs(counts[0], counts[1], counts[2], counts[3]);
        if let Some(kappa) = given.kappa() {
            prop_assert!(-1.0 <= kappa.low && kappa.low <= kappa.kappa + 1e-12);
            prop_assert!(kappa.kappa <= kappa.high + 1e-12 && kappa.high <= 1.0);
            prop_assert!(kappa.standard_error.is_finite());
        }
        let says_a_word = given.sentence().contains("agreement");
        prop_assert!(!says_a_word || given.n() >= u64::from(AT_LEAST));
    }
}

#[test]
fn looks_pair_with_the_next_one_of_another_observer_within_a_day() {
    let hour = 3600.0;
    for (looks, pairs) in [
        (vec![], vec![]),
        (vec![("a", 0.0)], vec![]),
        (vec![("a", 0.0), ("b", hour)], vec![(0, 1)]),
        (vec![("a", 0.0), ("a", hour)], vec![]),
        (vec![("a", 0.0), ("b", 24.0 * hour)], vec![(0, 1)]),
        (vec![("a", 0.0), ("b", 24.0 * hour + 1.0)], vec![]),
        // The middle one counts once; the last has nobody left.
        (
            vec![("a", 0.0), ("b", hour), ("a", 2.0 * hour)],
            vec![(0, 1)],
        ),
        (
            vec![("a", 0.0), ("a", 1.0), ("b", 2.0), ("b", 3.0), ("a", 4.0)],
            vec![(1, 2), (3, 4)],
        ),
    ] {
        assert_eq!(paired(&looks), pairs, "{looks:?}");
    }
}
