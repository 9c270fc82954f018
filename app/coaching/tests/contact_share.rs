//! Shares and their intervals against statsmodels and SciPy, and the leans.

use coaching::contact::lean::{AT_LEAST, Group, Lean, Three, groups};
use coaching::contact::share::{Interval, Share};
use coaching::contact::{Contact, ContactResult};
use coaching::vocabulary::{Environment, Hand, Side};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    made_by: String,
    shares: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    count: u32,
    n: u32,
    low: f64,
    high: f64,
    mean: f64,
    beta_low: f64,
    beta_high: f64,
}

#[test]
fn wilson_is_statsmodels_and_jeffreys_is_scipys() {
    let table: Table = serde_json::from_str(include_str!("contact_share_table.json")).unwrap();
    assert!(table.made_by.contains("statsmodels"), "{}", table.made_by);
    assert_eq!(table.shares.len(), 15);
    for row in table.shares {
        let share = Share {
            count: row.count,
            n: row.n,
        };
        let (wilson, posterior) = (share.wilson(), share.posterior());
        let believed = posterior.interval();
        for (ours, theirs) in [
            (wilson.low, row.low),
            (wilson.high, row.high),
            (posterior.mean(), row.mean),
            (believed.low, row.beta_low),
            (believed.high, row.beta_high),
        ] {
            assert!(
                (ours - theirs).abs() < 1e-9,
                "{} of {}: {ours} against {theirs}",
                row.count,
                row.n
            );
        }
    }
}

/// Newcombe, Statistics in Medicine 17, 857, 1998, table I, method 3; from
/// memory, to four digits.
#[test]
fn wilson_is_as_published() {
    for (count, n, low, high) in [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ] {
        let wilson = Share { count, n }.wilson();
        assert!((wilson.low - low).abs() < 5.1e-5, "{count} {n}: {wilson:?}");
        assert!(
            (wilson.high - high).abs() < 5.1e-5,
            "{count} {n}: {wilson:?}"
        );
    }
}

#[test]
fn nothing_counted_is_any_share_and_the_ends_stay_inside() {
    let nothing = Share { count: 0, n: 0 };
    assert_eq!(nothing.share(), None);
    let all = Interval {
        low: 0.0,
        high: 1.0,
    };
    assert_eq!(nothing.wilson(), all);
    assert_eq!(nothing.words(), "0 of 0");
    assert_eq!(Share { count: 0, n: 7 }.wilson().low, 0.0);
    assert_eq!(Share { count: 7, n: 7 }.wilson().high, 1.0);
    let words = Share { count: 12, n: 30 }.words();
    assert_eq!(words, "12 of 30, 40% (25 to 58)");
}

proptest! {
    #[test]
    fn an_interval_holds_its_share_and_is_mirrored_with_it(n in 1_u32..2_000, part in 0.0..=1.0) {
        let count = (f64::from(n) * part) as u32;
        let share = Share { count, n };
        let wilson = share.wilson();
        let middle = share.share().unwrap();
        prop_assert!(0.0 <= wilson.low && wilson.low <= middle);
        prop_assert!(middle <= wilson.high && wilson.high <= 1.0);
        let other = Share { count: n - count, n }.wilson();
        prop_assert!((wilson.low + other.high - 1.0).abs() < 1e-12);
        let believed = share.posterior().interval();
        prop_assert!(0.0 <= believed.low && believed.low < believed.high && believed.high <= 1.0);
    }

    #[test]
    fn a_lean_is_the_mirror_image_of_its_mirror_image(
        first in 0_u32..60, middle in 0_u32..60, last in 0_u32..60,
    ) {
        let lean = Three { counts: [first, middle, last] }.lean();
        let mirrored = Three { counts: [last, middle, first] }.lean();
        let expected = match lean {
            Lean::First => Lean::Last,
            Lean::Last => Lean::First,
            other => other,
        };
        prop_assert_eq!(mirrored, expected);
    }
}

#[test]
fn a_lean_waits_for_twenty_balls_and_for_more_than_chance_gives() {
    let lean = |counts| Three { counts }.lean();
    assert_eq!(lean([19, 0, 0]), Lean::NotYet { more: 1 });
    assert_eq!(lean([0, 0, 0]), Lean::NotYet { more: AT_LEAST });
    assert_eq!(lean([20, 0, 0]), Lean::First);
    assert_eq!(lean([2, 8, 14]), Lean::Last);
    assert_eq!(lean([9, 6, 7]), Lean::None);
    // Twenty through the middle lean nowhere.
    assert_eq!(lean([0, 20, 0]), Lean::None);
}

const LINE: Contact = Contact {
    environment: Environment::SideToss,
    feed: Some(Hand::Right),
    batted: Side::Right,
    result: ContactResult::Line,
    direction_deg: Some(0.0),
    quality: None,
};

fn only(contacts: &[Contact]) -> Group {
    let mut groups = groups(contacts);
    assert_eq!(groups.len(), 1);
    groups.remove(0)
}

#[test]
fn directions_are_of_balls_in_play_and_heights_of_those_without_a_direction_too() {
    let at = |result, direction_deg| Contact {
        result,
        direction_deg,
        ..LINE
    };
    let group = only(&[
        at(ContactResult::Ground, Some(-30.0)),
        at(ContactResult::Ground, None),
        at(ContactResult::Line, Some(0.0)),
        at(ContactResult::Pop, Some(25.0)),
        at(
            ContactResult::Fly,
            Some(f64::NAN).filter(|deg| !deg.is_nan()),
        ),
        at(ContactResult::Foul, Some(-60.0)),
        at(ContactResult::Miss, None),
        at(ContactResult::Take, None),
    ]);
    assert_eq!(group.directions.counts, [1, 1, 1]);
    assert_eq!(group.heights.counts, [2, 1, 2]);
    assert_eq!(
        (group.swings, group.misses, group.fouls, group.takes),
        (7, 1, 1, 1)
    );
}

#[test]
fn conditions_are_kept_apart_in_the_order_of_the_lists() {
    let batted_left = Contact {
        batted: Side::Left,
        direction_deg: Some(-30.0),
        ..LINE
    };
    let ahead = Contact { feed: None, ..LINE };
    let tee = Contact {
        environment: Environment::Tee,
        feed: None,
        ..LINE
    };
    let groups = groups(&[LINE, batted_left, ahead, tee, LINE]);
    let keys: Vec<_> = groups
        .iter()
        .map(|group| (group.environment, group.feed, group.batted))
        .collect();
    assert_eq!(
        keys,
        [
            (Environment::Tee, None, Side::Right),
            (Environment::SideToss, None, Side::Right),
            (Environment::SideToss, Some(Hand::Right), Side::Left),
            (Environment::SideToss, Some(Hand::Right), Side::Right),
        ]
    );
    assert_eq!(groups[3].swings, 2);
    // Left field is the opposite side of who bats left.
    assert_eq!(groups[2].directions.counts, [0, 0, 1]);
}

#[test]
fn the_sentence_has_every_share_with_its_n_and_says_when_it_is_too_early() {
    let pulled = Contact {
        direction_deg: Some(-30.0),
        result: ContactResult::Ground,
        ..LINE
    };
    let few = only(&[pulled, LINE, LINE]);
    assert_eq!(
        few.directions_sentence(),
        "3 balls in play with a direction: pull side (left field) 1 of 3, 33% (6 to 79); \
         middle 2 of 3, 67% (21 to 94); opposite side (right field) 0 of 3, 0% (0 to 56). \
         A lean, not yet: 17 more reps in play with a direction."
    );
    let one = only(&[pulled]);
    assert!(
        one.directions_sentence()
            .starts_with("1 ball in play with a direction: ")
    );
    assert!(one.heights_sentence().starts_with("1 ball in play: "));
    let many = only(&[pulled; 24]);
    assert!(
        many.directions_sentence()
            .ends_with("More to the pull side than to the opposite side.")
    );
    assert!(
        many.heights_sentence()
            .ends_with("More on the ground than in the air.")
    );
    assert!(
        many.heights_sentence()
            .starts_with("24 balls in play: ground balls 24 of 24, 100%")
    );
    let even = only(&[LINE; 24]);
    assert!(
        even.directions_sentence()
            .ends_with("No more to one side than chance may give.")
    );
}
