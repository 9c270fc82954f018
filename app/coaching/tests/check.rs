//! The items of the swing check as data: ids kept, texts plain and true for
//! hitters on both sides of the plate.

use std::collections::HashSet;
use std::fmt::Write as _;

use coaching::check::{
    BEFORE, BUNT_ITEMS, ITEMS, Item, Phase, SLAP_ITEMS, Skill, TILT, View, item, question, tilt_at,
    tilt_to_match,
};
use coaching::own::is_own;
use coaching::vocabulary::Sport;

/// The items of every skill.
fn all_items() -> impl Iterator<Item = &'static Item> {
    Skill::ALL.iter().flat_map(|skill| skill.items())
}

/// Every sentence shown to a person, with where it stands.
fn sentences() -> Vec<(String, &'static str)> {
    let mut all = Vec::new();
    for item in all_items() {
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
        for skill in Skill::ALL {
            all.push((
                format!("{} {} how", skill.id(), phase.id()),
                skill.how(*phase),
            ));
        }
    }
    all
}

/// Every short text, with where it stands.
fn titles() -> Vec<(&'static str, &'static str)> {
    let items = all_items().map(|item| (item.id, item.title));
    let questions = BEFORE.iter().map(|question| (question.id, question.title));
    let phases = Phase::ALL.iter().flat_map(|phase| {
        let of_skills = Skill::ALL.iter().flat_map(|skill| {
            [skill.phase_name(*phase), skill.phase_in_words(*phase)].map(|name| (phase.id(), name))
        });
        of_skills.chain([(phase.id(), phase.short_name())])
    });
    let views = View::ALL.iter().map(|view| (view.id(), view.name()));
    items.chain(questions).chain(phases).chain(views).collect()
}

#[test]
fn no_two_items_or_questions_share_an_id_or_a_title() {
    let ids: Vec<_> = all_items()
        .map(|item| item.id)
        .chain(BEFORE.iter().map(|question| question.id))
        .collect();
    let distinct: HashSet<_> = ids.iter().collect();
    assert_eq!(distinct.len(), ids.len());
    let titles: HashSet<_> = all_items().map(|item| item.title).collect();
    assert_eq!(titles.len(), all_items().count());
    for id in ids {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(id.chars().all(plain), "{id}");
        assert!(!is_own(id), "{id} belongs to coaches");
    }
}

#[test]
fn an_id_leads_to_its_item_or_question_and_no_other() {
    for entry in all_items() {
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
    for item in all_items() {
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
    for skill in Skill::ALL {
        assert!(skill.items().is_sorted_by_key(|item| item.phase));
        for phase in Phase::ALL {
            let any = skill.items().iter().any(|item| item.phase == *phase);
            assert!(any, "{} has no {}", skill.id(), phase.id());
        }
    }
}

#[test]
fn the_slap_is_of_softball_and_the_bunt_of_both_sports() {
    for (skill, items) in [
        (Skill::Swing, ITEMS),
        (Skill::Slap, SLAP_ITEMS),
        (Skill::Bunt, BUNT_ITEMS),
    ] {
        assert_eq!(skill.items(), items);
        assert!(items.iter().all(|item| item.skill == skill));
        assert!(skill.is_of(Sport::Softball));
        assert_eq!(skill.is_of(Sport::Baseball), skill != Skill::Slap);
    }
}

#[test]
fn tilt_follows_the_descent_of_the_pitch() {
    assert_eq!(
        tilt_to_match(7.4).as_deref(),
        Some(
            "This pitch comes down at 7 degrees: a path that goes up as much meets it, with a clear tilt."
        )
    );
    for (descent_deg, words) in [
        (-3.0, "arrives level"),
        (0.4, "arrives level"),
        (3.0, "a little tilt"),
        (20.0, "a strong tilt"),
    ] {
        let said = tilt_to_match(descent_deg).unwrap();
        assert!(said.contains(words), "{descent_deg}: {said}");
    }
    for not_an_angle in [f64::NAN, f64::INFINITY, -31.0, 61.0] {
        assert_eq!(tilt_to_match(not_an_angle), None);
    }
}

/// The design's reference pitch, by SciPy's DOP853 (rtol 1e-10): 92 mph from 55 ft,
/// 6 ft high, 1.25 ft aside, 2200 rpm, to 2.5 ft in the plane y = 0 comes down at
/// 4.9265 degrees. That is the usual pitch of adults.
#[test]
fn the_tilt_of_a_level_follows_the_descent_of_its_usual_pitch() {
    let adult = flight::level("baseball-adult").unwrap();
    assert_eq!(
        tilt_at(adult).as_deref(),
        Some(
            "Adult baseball, usual pitch. This pitch comes down at 5 degrees: a path that goes up as much meets it, with a clear tilt."
        )
    );
    for level in flight::LEVELS {
        let said = tilt_at(level).unwrap();
        assert!(said.starts_with(level.name), "{said}");
    }
    assert!(item(TILT).is_some());
}

#[test]
fn before_the_first_phase_come_pain_eyesight_bat_and_fatigue_and_pain_stops() {
    let stands = BEFORE.iter().filter(|question| question.stands);
    assert_eq!(
        stands.map(|question| question.id).collect::<Vec<_>>(),
        ["before-eyesight", "before-bat"]
    );
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
    for item in all_items().filter(|item| item.phase == Phase::Approach) {
        assert!(
            item.caution.is_some_and(|text| text.contains("netting")),
            "{}",
            item.id
        );
    }
}
