//! The shared lists: ids that are stored and never change meaning.

use std::collections::HashSet;

use coaching::cards::{Caution, Component, Effort, Equipment};
use coaching::check::{Phase, Skill, View};
use coaching::prescription::Outcome;
use coaching::roster::AgeBand;
use coaching::vocabulary::{Answer, Bats, Environment, Hand, Side, Sport};

/// Checks one list: its ids are these, each leads back to its entry, and it is
/// stored as its id.
macro_rules! kept {
    ($list:ident: $($id:literal = $entry:ident),+) => {{
        let ids: Vec<_> = $list::ALL.iter().map(|entry| entry.id()).collect();
        assert_eq!(ids, [$($id),+], "the ids of {}, in order", stringify!($list));
        $(
            assert_eq!($list::$entry.id(), $id);
            assert_eq!($list::from_id($id), Some($list::$entry));
            let stored = serde_json::to_string(&$list::$entry).unwrap();
            assert_eq!(stored, concat!('"', $id, '"'));
            assert_eq!(serde_json::from_str::<$list>(&stored).unwrap(), $list::$entry);
        )+
        let names: HashSet<_> = $list::ALL.iter().map(|entry| entry.name()).collect();
        assert_eq!(names.len(), ids.len(), "a name for each of {}", stringify!($list));
        assert!(names.iter().all(|name| !name.is_empty() && name.trim() == *name));
        for unknown in ["", "Tee", "left ", "from-a-newer-version"] {
            assert_eq!($list::from_id(unknown), None);
            assert!(serde_json::from_value::<$list>(unknown.into()).is_err());
        }
    }};
}

#[test]
fn stored_ids_keep_their_meaning() {
    kept!(Environment: "medicine-ball" = MedicineBall, "tee" = Tee, "front-toss" = FrontToss,
        "side-toss" = SideToss, "angled-toss" = AngledToss,
        "short-batting-practice" = ShortBattingPractice, "machine" = Machine, "live" = Live,
        "game" = Game);
    kept!(Side: "left" = Left, "right" = Right);
    kept!(Bats: "left" = Left, "right" = Right, "both" = Both);
    kept!(Hand: "left" = Left, "right" = Right);
    kept!(Answer: "yes" = Yes, "not-yet" = NotYet, "not-seen" = NotSeen);
    kept!(Phase: "launch-position" = LaunchPosition, "load" = Load, "full-swing" = FullSwing,
        "approach" = Approach);
    kept!(View: "from-behind" = FromBehind, "open-side" = OpenSide, "from-pitcher" = FromPitcher);
    kept!(Sport: "baseball" = Baseball, "softball" = Softball);
    kept!(Skill: "swing" = Swing, "slap" = Slap, "bunt" = Bunt);
    kept!(AgeBand: "to-8" = To8, "9-10" = From9, "11-12" = From11, "13-14" = From13,
        "15-17" = From15, "18-up" = From18);
    kept!(Outcome: "tried" = Tried, "helped" = Helped, "did-not" = DidNot, "kept" = Kept);
    kept!(Effort: "easy" = Easy, "medium" = Medium, "full" = Full);
    kept!(Component: "time" = Time, "descent" = Descent, "side-angle" = SideAngle, "spin" = Spin,
        "speed" = Speed, "decision" = Decision);
    kept!(Equipment: "bat" = Bat, "balls" = Balls, "soft-balls" = SoftBalls,
        "medicine-ball" = MedicineBall, "tee" = Tee, "net" = Net, "screen" = Screen,
        "helmet" = Helmet, "guide" = Guide, "towel" = Towel, "machine" = Machine,
        "chalk" = Chalk, "markers" = Markers, "helper" = Helper);
    kept!(Caution: "pain" = Pain, "bat-reach" = BatReach, "thrown-ball" = ThrownBall,
        "side-toss" = SideToss, "medicine-ball" = MedicineBall, "machine" = Machine,
        "first-balls" = FirstBalls, "live" = Live, "game" = Game, "tee" = Tee,
        "footing" = Footing, "sway" = Sway, "guide" = Guide, "fatigue" = Fatigue,
        "fingers" = Fingers, "earphones" = Earphones, "weather" = Weather,
        "fielders" = Fielders);
}

#[test]
fn a_hitter_who_bats_right_pulls_to_left_field() {
    assert_eq!(Side::Right.pull_field(), "left field");
    assert_eq!(Side::Right.opposite_field(), "right field");
    assert_eq!(Side::Left.pull_field(), "right field");
    assert_eq!(Side::Left.opposite_field(), "left field");
    for side in Side::ALL {
        assert_ne!(side.other(), *side);
        assert_eq!(side.other().other(), *side);
    }
}

#[test]
fn a_hitter_who_bats_both_bats_across_from_the_pitchers_hand() {
    assert_eq!(Bats::Both.usual_side(Hand::Right), Side::Left);
    assert_eq!(Bats::Both.usual_side(Hand::Left), Side::Right);
    for hand in Hand::ALL {
        assert_eq!(Bats::Left.usual_side(*hand), Side::Left);
        assert_eq!(Bats::Right.usual_side(*hand), Side::Right);
    }
    for bats in Bats::ALL {
        for hand in Hand::ALL {
            assert!(bats.sides().contains(&bats.usual_side(*hand)));
        }
    }
    assert_eq!(Bats::Left.sides(), [Side::Left]);
    assert_eq!(Bats::Right.sides(), [Side::Right]);
    assert_eq!(Bats::Both.sides(), [Side::Left, Side::Right]);
}

#[test]
fn a_ball_is_said_to_come_from_a_pitcher_or_as_from_one() {
    for hand in Hand::ALL {
        let thrower = hand.thrower().to_ascii_lowercase();
        for environment in Environment::ALL {
            let words = hand.from_whom(*environment);
            assert!(words.ends_with(&thrower), "{words}");
            let pitched = matches!(environment, Environment::Live | Environment::Game);
            assert_eq!(words.starts_with("as "), !pitched, "{words}");
        }
    }
}
