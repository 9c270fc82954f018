//! The count: taps, one set's numbers against SciPy's, the target, the words.

use coaching::Error;
use coaching::count::{
    CountError, LONGEST_S, SHORTEST_S, SetStats, Spread, Taps, Target, checked_count_s,
};
use proptest::prelude::*;
use serde::Deserialize;

fn taps(lift_ms: f64, contact_ms: f64) -> Result<f64, CountError> {
    Taps {
        lift_ms,
        contact_ms,
    }
    .count_s()
}

#[test]
fn two_taps_are_a_count_in_seconds() {
    assert_eq!(taps(1_000.0, 2_420.0), Ok(1.42));
    assert_eq!(taps(0.0, 1_000.1), Ok(1.0001));
}

#[test]
fn the_ends_of_the_range_count_whatever_the_clock_has_reached() {
    // A page open for a moment, a day, and a clock since 1970.
    for lift_ms in [0.0, 0.1, 1_000.1, 86_400_000.3, 1_764_000_000_000.7] {
        assert_eq!(taps(lift_ms, lift_ms + 200.0), Ok(SHORTEST_S), "{lift_ms}");
        assert_eq!(taps(lift_ms, lift_ms + 6_000.0), Ok(LONGEST_S), "{lift_ms}");
        assert_eq!(
            taps(lift_ms, lift_ms + 199.0),
            Err(CountError::TooShort { given_s: 0.199 })
        );
        assert_eq!(
            taps(lift_ms, lift_ms + 6_001.0),
            Err(CountError::TooLong { given_s: 6.001 })
        );
    }
}

#[test]
fn contact_before_lift_is_no_count() {
    assert_eq!(taps(2_420.0, 1_000.0), Err(CountError::ContactBeforeLift));
    assert_eq!(
        taps(5.0, 5.0),
        Err(CountError::TooShort { given_s: 0.0 }),
        "both at once is no order but too short"
    );
}

#[test]
fn what_is_no_time_is_no_count() {
    for (lift_ms, contact_ms) in [
        (f64::NAN, 1_000.0),
        (0.0, f64::NAN),
        (f64::NEG_INFINITY, 0.0),
        (0.0, f64::INFINITY),
        (f64::INFINITY, f64::INFINITY),
        (-f64::MAX, f64::MAX),
    ] {
        assert_eq!(taps(lift_ms, contact_ms), Err(CountError::NotATime));
    }
    for count_s in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(checked_count_s(count_s), Err(CountError::NotATime));
    }
}

#[test]
fn a_count_from_elsewhere_has_the_same_range() {
    assert_eq!(checked_count_s(SHORTEST_S), Ok(SHORTEST_S));
    assert_eq!(checked_count_s(LONGEST_S), Ok(LONGEST_S));
    for (given_s, refused) in [
        (0.199_999, CountError::TooShort { given_s: 0.199_999 }),
        (-1.0, CountError::TooShort { given_s: -1.0 }),
        (6.000_001, CountError::TooLong { given_s: 6.000_001 }),
    ] {
        assert_eq!(checked_count_s(given_s), Err(refused));
    }
}

#[test]
fn a_refusal_names_the_field_the_range_and_that_nothing_was_recorded() {
    for refused in [
        taps(0.0, 10.0),
        taps(0.0, 9_000.0),
        taps(10.0, 0.0),
        taps(0.0, f64::NAN),
    ] {
        let sentence = Error::from(refused.unwrap_err()).to_string();
        for part in ["Count: ", "0.2 to 6.0 s", "Nothing was recorded."] {
            assert!(sentence.contains(part), "{part:?} is not in {sentence:?}");
        }
    }
    assert_eq!(
        taps(0.0, 14_200.0).unwrap_err().to_string(),
        "Count: 0.2 to 6.0 s are allowed, and 14.2 s is too long. Nothing was recorded."
    );
    assert_eq!(
        taps(0.0, 40.0).unwrap_err().to_string(),
        "Count: 0.2 to 6.0 s are allowed, and 0.04 s is too short. Nothing was recorded."
    );
}

#[test]
fn an_absurd_number_makes_a_readable_refusal() {
    for count_s in [1e300, -1e300, 1e-300, f64::MAX, f64::MIN_POSITIVE] {
        let sentence = checked_count_s(count_s).unwrap_err().to_string();
        assert!(sentence.len() < 120, "{sentence}");
        let sentence = Target::new(count_s).unwrap_err().to_string();
        assert!(sentence.len() < 120, "{sentence}");
    }
}

#[test]
fn a_target_is_1_to_3_seconds() {
    for target_s in [1.0, 1.4, 3.0] {
        assert_eq!(Target::new(target_s).unwrap().seconds(), target_s);
    }
    for target_s in [0.99, 3.01, 0.0, -1.5, f64::INFINITY] {
        assert_eq!(
            Target::new(target_s),
            Err(CountError::Target { given_s: target_s })
        );
    }
    assert_eq!(
        Target::new(f64::NAN).unwrap_err().to_string(),
        "Target count: 1.0 to 3.0 s are allowed, and no number was given. The target from before is kept."
    );
    assert_eq!(
        Target::new(0.5).unwrap_err().to_string(),
        "Target count: 1.0 to 3.0 s are allowed, and 0.5 s was given. The target from before is kept."
    );
}

#[test]
fn a_count_is_told_against_the_target_as_the_screen_rounds_it() {
    let target = Target::new(1.4).unwrap();
    assert_eq!(target.sentence(1.28), "0.12 s shorter than the target.");
    assert_eq!(target.sentence(1.5), "0.10 s longer than the target.");
    assert_eq!(target.sentence(1.404), "On the target count.");
    assert_eq!(target.sentence(1.396), "On the target count.");
}

#[derive(Deserialize)]
struct Table {
    made_by: String,
    sets: Vec<Set>,
}

#[derive(Deserialize)]
struct Set {
    name: String,
    counts_s: Vec<f64>,
    relative: f64,
    n: usize,
    mean_s: f64,
    sd_s: f64,
}

#[test]
fn a_sets_numbers_are_scipys() {
    let table: Table = serde_json::from_str(include_str!("count_table.json")).unwrap();
    assert!(table.made_by.contains("SciPy"), "{}", table.made_by);
    assert_eq!(table.sets.len(), 8);
    for set in table.sets {
        let stats = SetStats::of(&set.counts_s).unwrap();
        let near = |ours: f64, theirs: f64, relative: f64| {
            let off = (ours - theirs).abs();
            assert!(
                off <= relative * theirs.abs(),
                "{}: {ours} against {theirs}, off by {off}",
                set.name
            );
        };
        assert_eq!(stats.n, set.n, "{}", set.name);
        assert_eq!(Some(stats.last_s), set.counts_s.last().copied());
        near(stats.mean_s, set.mean_s, 1e-14);
        near(stats.sd_s.unwrap(), set.sd_s, set.relative);
    }
}

#[test]
fn no_counts_have_no_numbers_and_one_has_no_spread() {
    assert_eq!(SetStats::of(&[]), None);
    let one = SetStats::of(&[1.42]).unwrap();
    assert_eq!((one.n, one.last_s, one.mean_s), (1, 1.42, 1.42));
    assert_eq!(one.sd_s, None);
}

#[test]
fn a_spread_has_a_word_from_five_counts_on() {
    // Two values in turn about 2.0; the sample deviation of a, b, a, b, mean is
    // the distance from the mean itself (four squares over n - 1 = 4).
    let around = |off: f64| SetStats::of(&[2.0 - off, 2.0 + off, 2.0 - off, 2.0 + off, 2.0]);
    let spread = |off: f64| around(off).unwrap().spread();
    assert_eq!(spread(0.0), Spread::Steady);
    assert_eq!(spread(0.099), Spread::Steady);
    assert_eq!(spread(0.101), Spread::ALittleApart);
    assert_eq!(spread(0.199), Spread::ALittleApart);
    assert_eq!(spread(0.201), Spread::FarApart);
    for few in 1..Spread::AT_LEAST {
        let stats = SetStats::of(&vec![1.5; few]).unwrap();
        assert_eq!(stats.spread(), Spread::TooFew, "{few}");
    }
}

#[test]
fn a_set_is_told_in_one_sentence_with_its_n() {
    let sentence = |counts_s: &[f64]| SetStats::of(counts_s).unwrap().sentence();
    assert_eq!(
        sentence(&[1.42]),
        "1 count, 1.42 s: too few to speak of a spread."
    );
    assert_eq!(
        sentence(&[1.2, 1.8]),
        "2 counts, mean 1.50 s, spread 0.42 s: too few to speak of a spread."
    );
    assert_eq!(
        sentence(&[1.42, 1.38, 1.45, 1.40, 1.41]),
        "5 counts, mean 1.41 s, spread 0.03 s: steady."
    );
}

proptest! {
    #[test]
    fn adding_counts_one_by_one_is_the_same_as_all_at_once(
        counts_s in prop::collection::vec(SHORTEST_S..=LONGEST_S, 1..60)
    ) {
        let one_by_one = counts_s[1..]
            .iter()
            .fold(SetStats::first(counts_s[0]), |set, count_s| set.with(*count_s));
        prop_assert_eq!(Some(one_by_one), SetStats::of(&counts_s));
    }

    #[test]
    fn any_two_times_give_a_count_in_range_or_a_refusal(
        lift_ms in prop::num::f64::ANY,
        off_ms in prop_oneof![prop::num::f64::ANY, -1e4..1e4],
    ) {
        if let Ok(count_s) = taps(lift_ms, lift_ms + off_ms) {
            prop_assert!((SHORTEST_S..=LONGEST_S).contains(&count_s));
        }
    }
}
