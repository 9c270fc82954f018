//! Challenge: Newcombe's interval against statsmodels and as published, the
//! rules of success, the verdicts and their words.

use coaching::Error;
use coaching::challenge::{AT_LEAST, Band, Challenge, SuccessRule, Verdict};
use coaching::contact::share::Share;
use coaching::contact::{Contact, ContactResult, Quality};
use coaching::vocabulary::{Environment, Side};
use proptest::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Table {
    made_by: String,
    pairs: Vec<Pair>,
}

#[derive(Deserialize)]
struct Pair {
    one: u32,
    n_one: u32,
    two: u32,
    n_two: u32,
    low: f64,
    high: f64,
}

fn between((count, n): (u32, u32), (game, of): (u32, u32)) -> Challenge {
    Challenge {
        session: Share { count, n },
        game: Share { count: game, n: of },
        band: Band::default(),
    }
}

#[test]
fn the_interval_of_a_difference_is_statsmodels() {
    let table: Table = serde_json::from_str(include_str!("contact_share_table.json")).unwrap();
    assert!(table.made_by.contains("statsmodels"), "{}", table.made_by);
    assert_eq!(table.pairs.len(), 10);
    for pair in table.pairs {
        let ours = between((pair.one, pair.n_one), (pair.two, pair.n_two))
            .interval()
            .unwrap();
        let name = format!("{}/{} {}/{}", pair.one, pair.n_one, pair.two, pair.n_two);
        assert!((ours.low - pair.low).abs() < 1e-9, "{name}: {ours:?}");
        assert!((ours.high - pair.high).abs() < 1e-9, "{name}: {ours:?}");
    }
}

/// Newcombe, Statistics in Medicine 17, 873, 1998, table II, method 10; from
/// memory, to four digits.
#[test]
fn the_interval_of_a_difference_is_as_published() {
    for (one, two, low, high) in [
        ((56, 70), (48, 80), 0.0524, 0.3339),
        ((9, 10), (3, 10), 0.1705, 0.8090),
    ] {
        let ours = between(one, two).interval().unwrap();
        assert!((ours.low - low).abs() < 5.1e-5, "{ours:?}");
        assert!((ours.high - high).abs() < 5.1e-5, "{ours:?}");
    }
}

#[test]
fn without_swings_there_is_no_difference_and_no_interval() {
    for challenge in [between((0, 0), (5, 20)), between((5, 20), (0, 0))] {
        assert_eq!(challenge.difference(), None);
        assert_eq!(challenge.interval(), None);
        assert!(!challenge.sentence().contains("NaN"));
    }
}

#[test]
fn too_few_swings_on_either_side_are_named() {
    let verdict = |session, game| between(session, game).verdict();
    assert_eq!(
        verdict((12, 15), (2, 13)),
        Verdict::NotYet {
            session_more: 5,
            game_more: 7
        }
    );
    assert_eq!(
        between((12, 20), (2, 13)).sentence(),
        "Session: 12 of 20, 60% (39 to 78). Games: 2 of 13, 15% (4 to 42). \
         Difference +45 points (+10 to +66). \
         Not enough swings to compare. Games, not yet: 7 more swings."
    );
}

#[test]
fn far_easier_and_too_hard_are_said_plainly_and_only_when_the_interval_says_so() {
    let far = between((55, 60), (20, 80));
    assert_eq!(far.verdict(), Verdict::FarEasier);
    assert!(far.sentence().contains("Far easier than the game"));
    let hard = between((4, 60), (50, 80));
    assert_eq!(hard.verdict(), Verdict::TooHard);
    assert!(hard.sentence().contains("Too hard to learn much from"));
    // Far easier by the shares alone, and not by the interval.
    assert_eq!(between((14, 25), (7, 25)).verdict(), Verdict::CannotTell);
    let near = between((300, 900), (290, 900));
    assert_eq!(near.verdict(), Verdict::Near);
    assert!(
        near.sentence()
            .ends_with("Near the game: within what you allow.")
    );
}

#[test]
fn hardly_any_success_is_too_hard_without_any_game() {
    // Wilson's upper end of 0 of 60 is 6%.
    assert_eq!(between((0, 60), (0, 0)).verdict(), Verdict::TooHard);
    // Of 0 of 19 swings nothing is said, and 0 of 30 may still be one in ten.
    assert!(matches!(
        between((0, AT_LEAST - 1), (0, 0)).verdict(),
        Verdict::NotYet { .. }
    ));
    assert!(matches!(
        between((0, 30), (0, 0)).verdict(),
        Verdict::NotYet {
            session_more: 0,
            game_more: 20
        }
    ));
}

#[test]
fn the_coachs_band_decides_and_is_checked() {
    let wide = Challenge {
        band: Band::new(60.0, 60.0, 1.0).unwrap(),
        ..between((55, 60), (20, 80))
    };
    assert_ne!(wide.verdict(), Verdict::FarEasier);
    for (easier, harder, least, field) in [
        (0.5, 20.0, 10.0, "Easier than the game"),
        (20.0, 61.0, 10.0, "Harder than the game"),
        (20.0, 20.0, f64::NAN, "Least success rate"),
    ] {
        let refused = Error::from(Band::new(easier, harder, least).unwrap_err());
        assert_eq!(
            refused.to_string(),
            format!("{field}: 1 to 60 points are allowed. The band from before is kept.")
        );
    }
}

fn swing(result: ContactResult, quality: Option<Quality>) -> Contact {
    Contact {
        environment: Environment::Machine,
        feed: None,
        batted: Side::Right,
        result,
        direction_deg: None,
        quality,
    }
}

#[test]
fn each_rule_counts_what_it_says_out_of_swings() {
    use ContactResult::{Foul, Ground, Line, Miss, Take};
    let contacts = [
        swing(Line, None),
        swing(Ground, Some(Quality::Hard)),
        swing(Ground, Some(Quality::Solid)),
        swing(Ground, Some(Quality::Weak)),
        // Not told is never good.
        swing(Ground, None),
        swing(Foul, Some(Quality::Hard)),
        swing(Miss, None),
        swing(Take, None),
    ];
    for (rule, count) in [
        (SuccessRule::LineOrHard, 2),
        (SuccessRule::Line, 1),
        (SuccessRule::Solid, 2),
        (SuccessRule::InPlay, 5),
        (SuccessRule::Touched, 6),
    ] {
        assert_eq!(rule.share(&contacts), Share { count, n: 7 }, "{rule:?}");
    }
    assert_eq!(SuccessRule::USUAL.id(), "line-or-hard");
    assert_eq!(SuccessRule::ALL.len(), 5);
}

proptest! {
    #[test]
    fn the_interval_holds_the_difference_and_turns_round_with_it(
        n in 1_u32..300, of in 1_u32..300, a in 0.0..=1.0, b in 0.0..=1.0,
    ) {
        let one = ((f64::from(n) * a) as u32, n);
        let two = ((f64::from(of) * b) as u32, of);
        let there = between(one, two);
        let (interval, difference) = (there.interval().unwrap(), there.difference().unwrap());
        prop_assert!(interval.low <= difference && difference <= interval.high);
        prop_assert!(-1.0 - 1e-12 <= interval.low && interval.high <= 1.0 + 1e-12);
        let back = between(two, one).interval().unwrap();
        prop_assert!((back.low + interval.high).abs() < 1e-12);
    }
}
