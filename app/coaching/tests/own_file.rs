//! What the club's notebook keeps of own items and of the order: the format is
//! pinned, what is written is read back, and anything else is refused.

use coaching::check::{Phase, Skill, View};
use coaching::checklist::Arrangement;
use coaching::own::{ItemError, ItemField, OwnItem};
use coaching::own_file::{
    OwnFileError, read_arrangement, read_draft, read_item, write_arrangement, write_item,
};
use coaching::vocabulary::Sport;
use proptest::prelude::*;

fn hands() -> OwnItem {
    OwnItem {
        id: "own.hands".to_owned(),
        phase: Phase::Load,
        skill: Skill::Swing,
        sport: Some(Sport::Softball),
        title: "Hands stay back".to_owned(),
        view: View::OpenSide,
        good: "They stay.".to_owned(),
        fault: "They drift.".to_owned(),
        how: String::new(),
    }
}

const KEPT: &str = r#"{"fault":"They drift.","good":"They stay.","how":"","id":"own.hands","phase":"load","skill":"swing","sport":"softball","title":"Hands stay back","version":1,"view":"open-side"}"#;

#[test]
fn the_format_is_pinned() {
    assert_eq!(write_item(&hands()), KEPT);
    assert_eq!(read_item(KEPT), Ok(hands()));
    let both = KEPT.replace(r#""softball""#, "null");
    assert_eq!(read_item(&both).map(|item| item.sport), Ok(None));
    let order = Arrangement {
        order: vec!["launch-head".to_owned(), "own.hands".to_owned()],
        hidden: vec!["load-control".to_owned()],
    };
    let kept = r#"{"hidden":["load-control"],"order":["launch-head","own.hands"],"version":1}"#;
    assert_eq!(write_arrangement(&order), kept);
    assert_eq!(read_arrangement(kept), Ok(order));
}

#[test]
fn a_draft_is_read_back_as_it_was_typed_however_long() {
    let mut long = hands();
    long.title = "x".repeat(500);
    long.how = " two\nlines ".to_owned();
    assert_eq!(read_draft(&write_item(&long)), Some(long.clone()));
    assert!(read_item(&write_item(&long)).is_err());
    for none in ["", "{}", "[1]", "{\"version\":2}"] {
        assert_eq!(read_draft(none), None);
    }
}

#[test]
fn what_does_not_fit_is_refused_and_says_why() {
    for text in ["", "null", "[]", "{}", "{\"version\":0}", "{\"version\":1}"] {
        assert_eq!(read_item(text), Err(OwnFileError::NotOwn), "{text}");
        assert_eq!(read_arrangement(text), Err(OwnFileError::NotOwn), "{text}");
    }
    let newer = KEPT.replace("\"version\":1", "\"version\":2");
    assert_eq!(read_item(&newer), Err(OwnFileError::Newer { given: 2 }));
    let long = KEPT.replace("They stay.", &"x".repeat(141));
    assert_eq!(
        read_item(&long),
        Err(OwnFileError::Item(ItemError::Length {
            field: ItemField::Good,
            given: 141
        }))
    );
    assert!(read_item(&KEPT.replace("own.hands", "launch-head")).is_err());
    assert!(read_item(&KEPT.replace("\"load\"", "\"next-years\"")).is_err());
    assert!(read_item(&KEPT.replace("\"softball\"", "\"next-years\"")).is_err());
    let bad_id = r#"{"hidden":[],"order":["An Id"],"version":1}"#;
    assert_eq!(read_arrangement(bad_id), Err(OwnFileError::NotOwn));
}

proptest! {
    #[test]
    fn any_checked_item_is_read_back_as_written(
        texts in proptest::array::uniform4(".{0,140}"),
        phase in 0..4_usize,
        view in 0..3_usize,
        sport in 0..3_usize,
    ) {
        let [title, good, fault, how] = texts;
        let item = OwnItem {
            phase: Phase::ALL[phase],
            view: View::ALL[view],
            sport: Sport::ALL.get(sport).copied(),
            title: title.chars().take(40).collect(),
            good,
            fault,
            how,
            ..hands()
        };
        if let Ok(item) = item.checked() {
            prop_assert_eq!(read_item(&write_item(&item)), Ok(item));
        }
    }

    #[test]
    fn no_text_makes_reading_panic(text in ".{0,200}") {
        let _ = read_item(&text);
        let _ = read_arrangement(&text);
    }

    #[test]
    fn any_arrangement_of_ids_is_read_back(
        order in proptest::collection::vec("[a-z0-9.-]{1,64}", 0..20),
        hidden in proptest::collection::vec("[a-z0-9.-]{1,64}", 0..20),
    ) {
        let given = Arrangement { order, hidden };
        prop_assert_eq!(read_arrangement(&write_arrangement(&given)), Ok(given));
    }
}
