//! A coach's own cards and the file by which they are shared: what is kept,
//! and what is refused with its field and range.

use coaching::Error;
use coaching::card_file::{
    Arrival, FileError, KIND, MOST_BYTES, MOST_CARDS, read, read_bytes, write,
};
use coaching::cards::{Caution, Component, Dose, Effort, Equipment};
use coaching::check::View;
use coaching::own_cards::{CardError, CardField, DRAFT_FIELDS, Draft, OwnAnswers, OwnCard};
use coaching::prescription::{AnyCard, AtHand, Prescription};
use coaching::vocabulary::Environment;
use proptest::prelude::*;
use serde_json::{Value, json};

fn a_card() -> OwnCard {
    OwnCard {
        id: "own.soft-hands".to_owned(),
        title: "Soft hands".to_owned(),
        purpose: "The hands start late.".to_owned(),
        answers: vec![OwnAnswers {
            item: "launch-turn".to_owned(),
            fault: "the hands go first".to_owned(),
        }],
        environments: vec![Environment::SideToss],
        equipment: vec![Equipment::Bat, Equipment::SoftBalls],
        space: "A net.".to_owned(),
        minutes: 10,
        steps: vec!["Toss.".to_owned(), "Hit.".to_owned()],
        feel: "The hands wait.".to_owned(),
        view: View::OpenSide,
        watch: "The hands.".to_owned(),
        dose: Dose {
            sets: 3,
            reps: 6,
            effort: Effort::Easy,
        },
        easier: String::new(),
        harder: String::new(),
        not_trained: vec![Component::Speed],
        caution: "No hard balls.".to_owned(),
    }
    .checked()
    .unwrap()
}

/// The file of one card with one field changed.
fn file_with(field: &str, value: Value) -> String {
    let mut file: Value = serde_json::from_str(&write(&[a_card()])).unwrap();
    file["cards"][0][field] = value;
    file.to_string()
}

#[test]
fn a_card_gets_the_equipment_and_the_cautions_of_its_balls() {
    let card = a_card();
    for thing in [Equipment::Helmet, Equipment::Screen, Equipment::Helper] {
        assert!(card.equipment.contains(&thing), "{}", thing.id());
    }
    let cautions = card.cautions();
    for caution in [
        Caution::Pain,
        Caution::BatReach,
        Caution::ThrownBall,
        Caution::SideToss,
        Caution::Earphones,
        Caution::Weather,
    ] {
        assert!(cautions.contains(&caution), "{}", caution.id());
    }
}

/// The format as it is shared: a file of this version must be read for ever.
#[test]
fn the_format_of_the_file_is_kept() {
    let kept = r#"{"cards":[{"answers":[{"fault":"the hands go first","item":"launch-turn"}],"caution":"No hard balls.","easier":"","effort":"easy","environments":["side-toss"],"equipment":["bat","soft-balls","helmet","screen","helper"],"feel":"The hands wait.","harder":"","id":"own.soft-hands","minutes":10,"not-trained":["speed"],"purpose":"The hands start late.","reps":6,"sets":3,"space":"A net.","steps":["Toss.","Hit."],"title":"Soft hands","view":"open-side","watch":"The hands."}],"kind":"stridebook-drill-cards","version":1}"#;
    assert_eq!(read(kept), Ok(vec![a_card()]));
    let written: Value = serde_json::from_str(&write(&[a_card()])).unwrap();
    assert_eq!(written, serde_json::from_str::<Value>(kept).unwrap());
}

#[test]
fn an_own_card_is_ranked_beside_the_starting_set() {
    let card = a_card();
    let at_hand = AtHand {
        equipment: Equipment::ALL,
        minutes: Some(10),
    };
    let prescription = Prescription::of(&["launch-turn"], [AnyCard::Own(&card)], &[], at_hand);
    assert_eq!(
        prescription.suggestions[0].why,
        "Not tried yet; answers: the hands go first."
    );
}

#[test]
fn what_is_out_of_range_is_refused_with_card_field_and_range() {
    for (field, value, said) in [
        (
            "title",
            json!("x".repeat(41)),
            "Card 1 of the file. Name: 1 to 40 characters are allowed, not 41. What was there before is kept. Nothing of the file was taken.",
        ),
        (
            "minutes",
            json!(500),
            "Card 1 of the file. Minutes: 1 to 120 are allowed, not 500. What was there before is kept. Nothing of the file was taken.",
        ),
        (
            "steps",
            json!([]),
            "Card 1 of the file. Steps: 1 to 12 entries are allowed, not 0. What was there before is kept. Nothing of the file was taken.",
        ),
        (
            "equipment",
            json!(["bat", "of-next-year"]),
            "Card 1 of the file, Equipment: it is missing or holds something this app does not know. Your cards stay as they were.",
        ),
        (
            "view",
            json!(7),
            "Card 1 of the file, From where to watch: it is missing or holds something this app does not know. Your cards stay as they were.",
        ),
        (
            "id",
            json!("crossed-start"),
            "Card 1 of the file. Id: up to 64 of a-z, 0-9, hyphen and full stop are allowed (a card's own id begins with \"own.\"), and something else was given. What was there before is kept. Nothing of the file was taken.",
        ),
    ] {
        let refused = read(&file_with(field, value)).unwrap_err();
        assert_eq!(Error::from(refused).to_string(), said, "{field}");
    }
    for number in [json!(-1), json!(1.5), json!("6"), json!(null), json!(1e300)] {
        let refused = read(&file_with("reps", number.clone())).unwrap_err();
        assert_eq!(
            refused,
            FileError::Field {
                card: 1,
                field: CardField::Reps
            },
            "{number}"
        );
    }
    let marks = format!("e{}", "\u{301}".repeat(500));
    assert_eq!(
        read(&file_with("title", json!(marks))),
        Err(FileError::Card {
            card: 1,
            error: CardError::Marks {
                field: CardField::Title,
                given: 501
            }
        })
    );
}

#[test]
fn a_field_that_is_missing_is_named() {
    let file: Value = serde_json::from_str(&write(&[a_card()])).unwrap();
    let names: Vec<String> = file["cards"][0]
        .as_object()
        .unwrap()
        .keys()
        .cloned()
        .collect();
    assert_eq!(names.len(), 19);
    for name in names {
        let mut less = file.clone();
        less["cards"][0].as_object_mut().unwrap().remove(&name);
        let refused = read(&less.to_string());
        assert!(
            matches!(refused, Err(FileError::Field { card: 1, .. })),
            "{name}: {refused:?}"
        );
    }
}

#[test]
fn what_is_no_file_of_cards_is_refused_whole() {
    let many: Vec<OwnCard> = (0..=MOST_CARDS)
        .map(|number| OwnCard {
            id: format!("own.{number}"),
            ..a_card()
        })
        .collect();
    assert_eq!(read(&write(&many)), Err(FileError::TooMany { given: 201 }));
    assert_eq!(
        read(&write(&[a_card(), a_card()])),
        Err(FileError::Twice { card: 2 })
    );
    let newer = json!({ "kind": KIND, "version": 2, "cards": 7 }).to_string();
    assert_eq!(read(&newer), Err(FileError::Newer { given: 2 }));
    for other in [
        "[]",
        "{}",
        "7",
        "null",
        r#"{"kind":"stridebook-drill-cards","version":0,"cards":[]}"#,
        r#"{"kind":"stridebook-drill-cards","version":1,"cards":[7]}"#,
        r#"{"kind":"else","version":1,"cards":[]}"#,
    ] {
        assert_eq!(read(other), Err(FileError::NotCards), "{other}");
    }
    assert_eq!(
        read("{\n  \"kind\": ?"),
        Err(FileError::NotJson {
            line: 2,
            column: 11
        })
    );
    let long = " ".repeat(MOST_BYTES + 1);
    assert_eq!(
        read(&long),
        Err(FileError::TooLong {
            given: MOST_BYTES + 1
        })
    );
    // Deep nesting must not end the program.
    assert!(matches!(
        read(&"[".repeat(MOST_BYTES)),
        Err(FileError::NotJson { .. })
    ));
    assert_eq!(read(&write(&[])), Ok(Vec::new()));
}

fn some<T: Copy + std::fmt::Debug + 'static>(all: &'static [T]) -> impl Strategy<Value = Vec<T>> {
    prop::collection::vec(prop::sample::select(all), 0..4)
}

fn text(most: usize) -> impl Strategy<Value = String> {
    prop_oneof![
        4 => prop::collection::vec(any::<char>(), 0..most / 8 + 3).prop_map(String::from_iter),
        1 => "[ a-z\u{e9}\u{202e}\"\\\\\n]{0,30}",
    ]
}

/// Cards as typed: some can be kept, some cannot.
fn typed() -> impl Strategy<Value = OwnCard> {
    let answers = ("[a-z.-]{1,20}", text(60)).prop_map(|(item, fault)| OwnAnswers { item, fault });
    let texts = (
        text(40),
        text(200),
        text(140),
        text(140),
        text(200),
        text(200),
        text(200),
        text(300),
    );
    let lists = (
        prop::collection::vec(answers, 0..4),
        some(Environment::ALL),
        some(Equipment::ALL),
        prop::collection::vec(text(200), 0..4),
        some(Component::ALL),
    );
    let rest = (
        "own\\.[a-z0-9.-]{1,20}",
        0..130_u8,
        0..22_u8,
        0..52_u8,
        prop::sample::select(Effort::ALL),
        prop::sample::select(View::ALL),
    );
    (texts, lists, rest).prop_map(|(texts, lists, (id, minutes, sets, reps, effort, view))| {
        OwnCard {
            id,
            title: format!("T{}", texts.0),
            purpose: format!("P{}", texts.1),
            space: texts.2,
            feel: texts.3,
            watch: texts.4,
            easier: texts.5,
            harder: texts.6,
            caution: texts.7,
            answers: lists.0,
            environments: lists.1,
            equipment: lists.2,
            steps: lists.3,
            not_trained: lists.4,
            minutes,
            dose: Dose { sets, reps, effort },
            view,
        }
    })
}

fn kept() -> impl Strategy<Value = Vec<OwnCard>> {
    prop::collection::vec(typed(), 0..4).prop_map(|cards| {
        let mut kept: Vec<OwnCard> = Vec::new();
        for card in cards.into_iter().filter_map(|card| card.checked().ok()) {
            if kept.iter().all(|known| known.id != card.id) {
                kept.push(card);
            }
        }
        kept
    })
}

proptest! {
    #[test]
    fn what_is_written_is_read_as_it_was(cards in kept()) {
        prop_assert_eq!(read(&write(&cards)), Ok(cards));
    }

    #[test]
    fn a_card_once_checked_stays_as_it_is(card in typed()) {
        if let Ok(card) = card.checked() {
            prop_assert_eq!(card.clone().checked(), Ok(card));
        }
    }

    #[test]
    fn a_card_with_a_thrown_ball_always_says_helmet_and_screen(card in typed(), thrown in prop::sample::select(&[
        Environment::FrontToss, Environment::SideToss, Environment::AngledToss,
        Environment::ShortBattingPractice, Environment::Machine, Environment::Live,
    ][..])) {
        let mut card = card;
        card.environments.push(thrown);
        if let Ok(card) = card.checked() {
            prop_assert!(card.cautions().contains(&Caution::ThrownBall));
            prop_assert!(card.equipment.contains(&Equipment::Helmet));
            prop_assert!(card.equipment.contains(&Equipment::Screen));
        }
    }

    #[test]
    fn garbage_is_refused_and_never_panics(text in any::<String>()) {
        prop_assert!(read(&text).is_err());
    }

    #[test]
    fn a_damaged_file_is_read_or_refused_and_never_panics(
        cards in kept(), at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<prop::sample::Index>(),
    ) {
        let mut bytes = write(&cards).into_bytes();
        let place = at.index(bytes.len());
        bytes[place] = byte;
        let end = cut.index(bytes.len()) + 1;
        for damaged in [&bytes[..], &bytes[..end]] {
            if let Ok(text) = std::str::from_utf8(damaged)
                && let Ok(read_cards) = read(text)
            {
                for card in read_cards {
                    prop_assert_eq!(card.clone().checked(), Ok(card));
                }
            }
        }
    }

    #[test]
    fn one_field_of_any_kind_is_read_or_refused_and_never_panics(
        field in prop::sample::select(&["id", "title", "answers", "steps", "minutes", "sets", "view", "equipment"][..]),
        value in prop_oneof![
            any::<i64>().prop_map(Value::from),
            any::<f64>().prop_map(Value::from),
            any::<String>().prop_map(Value::from),
            prop::collection::vec(any::<String>(), 0..40).prop_map(Value::from),
            Just(Value::Null),
            Just(json!({ "item": {} })),
        ],
    ) {
        if let Ok(cards) = read(&file_with(field, value)) {
            prop_assert_eq!(cards[0].clone().checked(), Ok(cards[0].clone()));
        }
    }
}

#[test]
fn a_card_from_a_file_is_new_the_same_or_another_form_of_one_that_is_here() {
    let card = a_card();
    let edited = OwnCard {
        feel: "Wait.".to_owned(),
        ..a_card()
    };
    let other = OwnCard {
        id: "own.other".to_owned(),
        ..a_card()
    };
    let of = |known: &[&OwnCard]| Arrival::of(&card, known.iter().copied());
    assert_eq!(of(&[]), Arrival::New);
    assert_eq!(of(&[&other]), Arrival::New);
    assert_eq!(of(&[&other, &card]), Arrival::Same);
    assert_eq!(of(&[&other, &edited]), Arrival::Differs(1));
}

#[test]
fn a_file_is_read_as_bytes_with_or_without_a_byte_order_mark() {
    let text = write(&[a_card()]);
    assert_eq!(read_bytes(text.as_bytes()), Ok(vec![a_card()]));
    let marked = format!("\u{feff}{text}");
    assert_eq!(read_bytes(marked.as_bytes()), Ok(vec![a_card()]));
    assert_eq!(read_bytes(&[0xff, 0xfe, 0x7b]), Err(FileError::NotCards));
    let long = vec![b' '; MOST_BYTES + 1];
    let given = long.len();
    assert_eq!(read_bytes(&long), Err(FileError::TooLong { given }));
}

#[test]
fn a_form_says_what_is_wrong_with_its_first_field_in_its_order() {
    let mut draft = Draft::new();
    let refused = |draft: &Draft| draft.card("own.new").unwrap_err().to_string();
    assert_eq!(
        refused(&draft),
        "Name: 1 to 40 characters are allowed, not 0. What was there before is kept."
    );
    draft.set(CardField::Title, " Soft  hands ");
    draft.set(CardField::Purpose, "The hands start late.");
    assert_eq!(
        refused(&draft),
        "What it answers: 1 to 20 entries are allowed, not 0. What was there before is kept."
    );
    draft.toggle(CardField::Answers, "launch-turn");
    draft.set_fault("launch-turn", "the hands\tgo first");
    assert_eq!(
        refused(&draft),
        "Steps: 1 to 12 entries are allowed, not 0. What was there before is kept."
    );
    draft.set(CardField::Steps, "Toss.\n\n  Hit.\n");
    for typed in ["", "ten", "-3", "1.5", "99999", "1e2"] {
        draft.set(CardField::Minutes, typed);
        assert_eq!(
            refused(&draft),
            "Minutes: a whole number from 1 to 120 is needed. What was there before is kept.",
            "{typed:?}"
        );
    }
    draft.set(CardField::Minutes, "121");
    assert_eq!(
        refused(&draft),
        "Minutes: 1 to 120 are allowed, not 121. What was there before is kept."
    );
    draft.set(CardField::Minutes, " 12 ");
    draft.toggle(CardField::Environments, "machine");
    draft.toggle(CardField::Environments, "tee");
    draft.toggle(CardField::Environments, "machine");
    let card = draft.card("own.new").unwrap();
    assert_eq!(card.title, "Soft hands");
    assert_eq!(card.steps, ["Toss.", "Hit."]);
    assert_eq!(card.minutes, 12);
    assert_eq!(card.environments, [Environment::Tee]);
    assert_eq!(card.answers[0].fault, "the hands go first");
    let many = "Toss.\n".repeat(13);
    draft.set(CardField::Steps, &many);
    assert!(refused(&draft).starts_with("Steps: 1 to 12 entries"));
    draft.set(CardField::Steps, &"x".repeat(201));
    assert!(refused(&draft).starts_with("Step: 1 to 200 characters"));
}

#[test]
fn an_item_that_a_file_has_twice_is_in_the_form_once_as_it_was_first() {
    let mut card = a_card();
    let first = card.answers[0].clone();
    card.answers = vec![first.clone(); 3];
    card.answers[1].fault = "another".to_owned();
    for times in 1..=3 {
        card.answers.truncate(4 - times);
        let again = Draft::of(&card).card(&card.id).unwrap();
        assert_eq!(again.answers, std::slice::from_ref(&first), "{times}");
    }
}

proptest! {
    #[test]
    fn the_form_of_a_card_is_that_card_again(cards in kept()) {
        for card in cards {
            let draft = Draft::of(&card);
            prop_assert_eq!(draft.get(CardField::Id), card.id.as_str());
            prop_assert_eq!(Draft::from_kept(&draft.kept()), Some(draft.clone()));
            let mut once = card.clone();
            let mut items: Vec<String> = Vec::new();
            // A form has each item once.
            once.answers.retain(|answer| {
                let is_new = !items.contains(&answer.item);
                items.push(answer.item.clone());
                is_new
            });
            // An empty line is no step, and the file's rule allows none either.
            prop_assert_eq!(draft.card(&card.id), Ok(once));
        }
    }

    #[test]
    fn whatever_is_typed_stays_in_the_form_and_never_panics(typed in ".{0,60}", field in prop::sample::select(DRAFT_FIELDS)) {
        let mut draft = Draft::new();
        draft.set(field, &typed);
        prop_assert_eq!(draft.get(field), typed.as_str());
        prop_assert_eq!(Draft::from_kept(&draft.kept()), Some(draft.clone()));
        if let Ok(card) = draft.card("own.x") {
            prop_assert_eq!(card.clone().checked(), Ok(card));
        }
    }
}
