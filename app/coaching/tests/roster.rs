//! What the roster may hold: groups, notes and targets in their ranges.

use coaching::Error;
use coaching::roster::{
    AgeBand, FieldDistance, LONGEST_GROUP, LONGEST_NOTE, MOST_GROUPS, RosterError, Targets,
    checked_groups, group_name, note,
};
use proptest::prelude::*;

#[test]
fn a_group_is_named_like_a_hitter() {
    assert_eq!(group_name("  Under  12\t"), Ok("Under 12".to_owned()));
    assert_eq!(group_name(" \u{200b} "), Err(RosterError::GroupEmpty));
    let long = "x".repeat(LONGEST_GROUP + 1);
    let refused = group_name(&long).unwrap_err();
    assert_eq!(refused, RosterError::GroupLength { given: 41 });
    assert_eq!(
        Error::from(refused).to_string(),
        "Group: 1 to 40 characters are allowed, and 41 were given. What was there before is kept."
    );
}

#[test]
fn a_note_may_be_empty_and_has_an_end() {
    assert_eq!(note(""), Ok(String::new()));
    assert!(note(&"x".repeat(LONGEST_NOTE)).is_ok());
    let refused = note(&"x".repeat(LONGEST_NOTE + 1));
    assert_eq!(refused, Err(RosterError::NoteLength { given: 501 }));
    assert_eq!(checked_groups(MOST_GROUPS), Ok(()));
    assert_eq!(checked_groups(11), Err(RosterError::Groups { given: 11 }));
}

#[test]
fn targets_outside_their_ranges_are_refused_with_the_range() {
    let targets = Targets::new(Some(1.4), Some(46.0)).unwrap();
    assert_eq!(targets.count.map(|count| count.seconds()), Some(1.4));
    assert_eq!(targets.distance.map(FieldDistance::ft), Some(46.0));
    assert_eq!(Targets::new(None, None), Ok(Targets::default()));
    let sentence = |count, distance| Targets::new(count, distance).unwrap_err().to_string();
    assert_eq!(
        sentence(Some(0.9), None),
        "Target count: 1.0 to 3.0 s are allowed, and 0.9 s was given. The target from before is kept."
    );
    assert_eq!(
        sentence(None, Some(70.0)),
        "Field distance: 25 to 65 ft are allowed, and 70 ft was given. The distance from before is kept."
    );
    for not_a_distance in [f64::NAN, f64::INFINITY, -1e300] {
        assert_eq!(
            sentence(None, Some(not_a_distance)),
            "Field distance: 25 to 65 ft are allowed, and what was given is no such number. The distance from before is kept."
        );
    }
}

#[test]
fn only_the_last_band_is_of_age() {
    let minors = AgeBand::ALL.iter().filter(|band| band.is_minor());
    assert_eq!(minors.count(), AgeBand::ALL.len() - 1);
    assert!(!AgeBand::From18.is_minor());
}

/// The ranges cover every level of play that `flight` knows.
#[test]
fn every_level_of_play_has_a_distance_in_the_range_and_a_sport_of_the_list() {
    for level in flight::LEVELS {
        assert!(
            FieldDistance::new(level.rubber_to_plate_ft).is_ok(),
            "{}",
            level.id
        );
        assert!(coaching::vocabulary::Sport::from_id(level.sport.id()).is_some());
    }
}

proptest! {
    #[test]
    fn a_distance_is_kept_just_when_it_is_in_the_range(given_ft in prop_oneof![any::<f64>(), 20.0..70.0]) {
        let kept = FieldDistance::new(given_ft).map(FieldDistance::ft);
        prop_assert_eq!(kept.is_ok(), (25.0..=65.0).contains(&given_ft));
        prop_assert!(kept.is_err() || kept == Ok(given_ft));
    }

    #[test]
    fn a_group_and_a_note_once_kept_stay_as_they_are(typed in any::<String>()) {
        if let Ok(kept) = group_name(&typed) {
            prop_assert_eq!(group_name(&kept), Ok(kept));
        }
        if let Ok(kept) = note(&typed) {
            prop_assert_eq!(note(&kept), Ok(kept));
        }
    }
}

#[test]
fn only_a_hitter_said_to_be_of_age_goes_without_a_guardians_word() {
    use coaching::roster::guardian_note;
    for band in AgeBand::ALL {
        let note = guardian_note(Some(*band), false);
        assert_eq!(note.is_empty(), *band == AgeBand::From18, "{band:?}");
        assert!(guardian_note(Some(*band), true).contains("guardian decides"));
    }
    assert!(guardian_note(None, false).contains("ask a guardian"));
    assert!(guardian_note(None, true).contains("guardian decides"));
}
