//! The items of the swing check as data: ids kept, texts plain and true for
//! hitters on both sides of the plate.

use std::collections::HashSet;
use std::fmt::Write as _;

use coaching::check::{BEFORE, ITEMS, Phase, View, item, question};

/// Every sentence shown to a person, with where it stands.
fn sentences() -> Vec<(String, &'static str)> {
    let mut all = Vec::new();
    for item in ITEMS {
        let mut add = |field: &str, text| all.push((format!("{} {field}", item.id), text));
        add("good", item.good);
        add("fault", item.fault);
        add("how", item.how);
        if let Some(caution) = item.caution {
            add("caution", caution);
        }
    }
    for question in BEFORE {
        all.push((format!("{} if_not", question.id), question.if_not));
    }
    for view in View::ALL {
        all.push((format!("{} caution", view.id()), view.caution()));
    }
    for phase in Phase::ALL {
        all.push((format!("{} how", phase.id()), phase.how()));
    }
    all
}

/// Every short text, with where it stands.
fn titles() -> Vec<(&'static str, &'static str)> {
    let items = ITEMS.iter().map(|item| (item.id, item.title));
    let questions = BEFORE.iter().map(|question| (question.id, question.title));
    let phases = Phase::ALL.iter().flat_map(|phase| {
        [phase.name(), phase.short_name(), phase.in_words()].map(|name| (phase.id(), name))
    });
    let views = View::ALL.iter().map(|view| (view.id(), view.name()));
    items.chain(questions).chain(phases).chain(views).collect()
}

#[test]
fn no_two_items_or_questions_share_an_id_or_a_title() {
    let ids: Vec<_> = ITEMS
        .iter()
        .map(|item| item.id)
        .chain(BEFORE.iter().map(|question| question.id))
        .collect();
    let distinct: HashSet<_> = ids.iter().collect();
    assert_eq!(distinct.len(), ids.len());
    let titles: HashSet<_> = ITEMS.iter().map(|item| item.title).collect();
    assert_eq!(titles.len(), ITEMS.len());
    for id in ids {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(id.chars().all(plain), "{id}");
    }
}

#[test]
fn an_id_leads_to_its_item_or_question_and_no_other() {
    for entry in ITEMS {
        assert_eq!(item(entry.id), Some(entry));
        assert_eq!(question(entry.id), None);
    }
    for entry in BEFORE {
        assert_eq!(question(entry.id), Some(entry));
        assert_eq!(item(entry.id), None);
    }
    assert_eq!(item("from-a-newer-version"), None);
    assert_eq!(question(""), None);
}

/// The kept text is compared whole, so that no item can come to mean something
/// else under its old id unseen. Wording made plainer: copy the text printed.
/// Another meaning: take a new id.
#[test]
fn every_item_and_question_still_means_what_it_meant() {
    let mut now = String::new();
    for question in BEFORE {
        writeln!(now, "{}: {}", question.id, question.title).unwrap();
        writeln!(now, "  ask    {}", question.ask).unwrap();
        writeln!(now, "  stops  {}", question.stops).unwrap();
    }
    for item in ITEMS {
        let (phase, view) = (item.phase.id(), item.view.id());
        writeln!(now, "{}: {}", item.id, item.title).unwrap();
        writeln!(now, "  phase  {phase}, view {view}").unwrap();
        writeln!(now, "  good   {}", item.good).unwrap();
        writeln!(now, "  fault  {}", item.fault).unwrap();
    }
    let kept = include_str!("kept_items.txt");
    assert!(now == kept, "tests/kept_items.txt differs from:\n{now}");
}

#[test]
fn the_phases_come_in_order_and_each_has_its_items() {
    assert_eq!(
        Phase::ALL,
        [
            Phase::LaunchPosition,
            Phase::Load,
            Phase::FullSwing,
            Phase::Approach
        ]
    );
    for (place, phase) in Phase::ALL.iter().enumerate() {
        assert_eq!(phase.index(), place);
        assert_eq!(phase.number(), place + 1);
    }
    let counts = Phase::ALL.iter().map(|phase| phase.items().count());
    assert_eq!(counts.collect::<Vec<_>>(), [6, 5, 4, 4]);
    assert!(ITEMS.is_sorted_by_key(|item| item.phase));
}

#[test]
fn before_the_first_phase_come_pain_eyesight_bat_and_fatigue_and_pain_stops() {
    let ids = BEFORE.iter().map(|question| question.id);
    assert_eq!(
        ids.collect::<Vec<_>>(),
        [
            "before-pain",
            "before-eyesight",
            "before-bat",
            "before-fatigue"
        ]
    );
    let stops = BEFORE.iter().filter(|question| question.stops);
    assert_eq!(
        stops.map(|question| question.id).collect::<Vec<_>>(),
        ["before-pain"]
    );
    assert!(BEFORE[0].if_not.contains("licensed care"));
}

#[test]
fn a_short_text_fits_a_phone_card() {
    for (place, title) in titles() {
        let length = title.chars().count();
        assert!((1..=40).contains(&length), "{place}: {title:?}, {length}");
        assert!(!title.ends_with(['.', '!', '?', ':']), "{place}: {title:?}");
    }
}

#[test]
fn a_sentence_is_short_and_is_a_sentence() {
    for (place, text) in sentences() {
        let length = text.chars().count();
        assert!((15..=140).contains(&length), "{place}: {length}, {text:?}");
        assert!(text.ends_with('.'), "{place}: {text:?}");
        assert!(text.starts_with(|c: char| c.is_uppercase()), "{place}");
        assert!(!text.contains("  ") && text.trim() == text, "{place}");
        assert!(!text.contains('!'), "{place} shouts: {text:?}");
    }
    for question in BEFORE {
        assert!(question.ask.ends_with('?'), "{}", question.id);
        assert!(question.ask.chars().count() <= 140, "{}", question.id);
    }
}

#[test]
fn texts_read_true_for_both_sides_of_the_plate_and_for_everybody() {
    let asks = BEFORE
        .iter()
        .map(|question| (question.id.to_owned(), question.ask));
    let shorts = titles()
        .into_iter()
        .map(|(place, text)| (place.to_owned(), text));
    for (place, text) in sentences().into_iter().chain(asks).chain(shorts) {
        let lower = text.to_lowercase();
        for word in lower.split(|c: char| !c.is_alphabetic()) {
            let one_sided = [
                "left",
                "right",
                "lefty",
                "righty",
                "lefthanded",
                "righthanded",
            ];
            let one_gender = [
                "he", "she", "him", "her", "his", "hers", "himself", "herself",
            ];
            assert!(!one_sided.contains(&word), "{place}: {word:?} in {text:?}");
            assert!(!one_gender.contains(&word), "{place}: {word:?} in {text:?}");
        }
    }
}

#[test]
fn watching_near_the_ball_carries_its_caution() {
    assert!(View::FromPitcher.caution().contains("screen"));
    assert!(View::FromPitcher.caution().contains("fixed phone"));
    for view in [View::FromBehind, View::OpenSide] {
        assert!(view.caution().contains("out of the bat's reach"));
    }
    // Games are logged from behind netting, so every item of the approach says so.
    for item in Phase::Approach.items() {
        assert!(
            item.caution.is_some_and(|text| text.contains("netting")),
            "{}",
            item.id
        );
    }
}
