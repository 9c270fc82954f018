//! Swing counts by day and over seven days, against the coach's limits.

use coaching::Error;
use coaching::loads::{CAUTION, Day, Limits, LoadError, Loads, Over, Passed};
use proptest::prelude::*;

fn loads(days: &[(i64, u32)]) -> Loads {
    let day = |(day, swings): &(i64, u32)| Day {
        day: *day,
        swings: *swings,
    };
    Loads::of(&days.iter().map(day).collect::<Vec<_>>())
}

#[test]
fn swings_of_one_day_are_added_up_and_days_come_in_order() {
    let loads = loads(&[(5, 20), (3, 10), (5, 15), (4, 0)]);
    let day = |day, swings| Day { day, swings };
    assert_eq!(loads.days(), [day(3, 10), day(5, 35)]);
    assert_eq!((loads.on(5), loads.on(4)), (35, 0));
}

#[test]
fn seven_days_hold_the_day_and_the_six_before() {
    let loads = loads(&[(0, 1), (1, 2), (6, 4), (7, 8), (8, 16)]);
    assert_eq!(loads.seven_days_to(6), 1 + 2 + 4);
    assert_eq!(loads.seven_days_to(7), 2 + 4 + 8);
    assert_eq!(loads.seven_days_to(13), 8 + 16);
    assert_eq!(loads.seven_days_to(-1), 0);
}

#[test]
fn what_passes_a_limit_is_named_and_what_reaches_it_is_not() {
    let limits = Limits::new(Some(100), Some(250)).unwrap();
    let loads = loads(&[(1, 100), (2, 101), (3, 49), (4, 1)]);
    let passed = |day, over, swings, limit| Passed {
        day,
        over,
        swings,
        limit,
    };
    assert_eq!(
        loads.passed(limits),
        [
            passed(2, Over::Day, 101, 100),
            passed(4, Over::SevenDays, 251, 250),
        ]
    );
    assert_eq!(loads.passed(Limits::default()), []);
    assert_eq!(
        loads.passed(limits)[1].sentence(),
        "251 swings in seven days: 1 above your limit of 250."
    );
}

#[test]
fn what_is_left_is_the_smaller_of_the_two() {
    let loads = loads(&[(1, 90), (2, 90), (3, 40)]);
    let left = |a_day, seven_days| {
        let limits = Limits::new(a_day, seven_days).unwrap();
        loads.left_on(3, limits)
    };
    assert_eq!(left(Some(100), None), Some(60));
    assert_eq!(left(Some(100), Some(250)), Some(30));
    assert_eq!(left(Some(100), Some(200)), Some(0));
    assert_eq!(left(None, None), None);
}

#[test]
fn limits_have_ranges_and_a_refusal_says_them() {
    assert!(Limits::new(Some(1), Some(1)).is_ok());
    assert!(Limits::new(Some(1_000), Some(5_000)).is_ok());
    assert_eq!(Limits::new(Some(0), None), Err(LoadError::Day { given: 0 }));
    assert_eq!(
        Limits::new(Some(80), Some(60)),
        Err(LoadError::FewerThanADay {
            given: 60,
            a_day: 80
        })
    );
    let refused = |limits: Result<Limits, LoadError>| Error::from(limits.unwrap_err()).to_string();
    assert_eq!(
        refused(Limits::new(Some(1_001), None)),
        "Swings a day: 1 to 1000 are allowed, and 1001 was given. The limits from before are kept."
    );
    assert_eq!(
        refused(Limits::new(None, Some(5_001))),
        "Swings in seven days: 1 to 5000 are allowed, and 5001 was given. The limits from before are kept."
    );
}

#[test]
fn the_caution_defers_to_the_league_and_to_a_doctor() {
    for part in ["doctor", "league", "not medical advice", "Pain"] {
        assert!(CAUTION.contains(part), "{part}");
    }
}

proptest! {
    #[test]
    fn the_order_of_counting_does_not_matter_and_no_swing_is_lost(
        mut days in prop::collection::vec((-30_i64..30, 0_u32..500), 0..40),
    ) {
        let one = loads(&days);
        let sum: u32 = days.iter().map(|(_, swings)| swings).sum();
        prop_assert_eq!(one.days().iter().map(|day| day.swings).sum::<u32>(), sum);
        days.reverse();
        prop_assert_eq!(&loads(&days), &one);
        for day in -40..40 {
            let by_hand: u32 = (day - 6..=day).map(|day| one.on(day)).sum();
            prop_assert_eq!(one.seven_days_to(day), by_hand);
        }
    }

    #[test]
    fn any_numbers_make_sums_and_no_panic(
        days in prop::collection::vec((any::<i64>(), any::<u32>()), 0..20), on in any::<i64>(),
    ) {
        let loads = loads(&days);
        let limits = Limits::new(Some(100), Some(300)).unwrap();
        for passed in loads.passed(limits) {
            prop_assert!(passed.swings > passed.limit);
        }
        prop_assert!(loads.left_on(on, limits).unwrap() <= 100);
    }
}
