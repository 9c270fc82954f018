//! The stored form of every record, pinned: a change of format cannot pass
//! unseen. If one of these must change, raise `SCHEMA` and write a migration.

use notebook::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::time::Duration;

fn wall() -> NTP64 {
    NTP64::from(Duration::from_secs(1_750_000_000))
}

fn id(n: u8) -> RecordId {
    RecordId::from_bytes([n; 16])
}

fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

fn context() -> HittingContext {
    HittingContext {
        side: code("left"),
        feed: code("right"),
        sport: code("baseball"),
        level: code("baseball-adult"),
        environment: code("machine"),
    }
}

fn pinned<R: Record + std::fmt::Debug + PartialEq>(record: &R, expected: &Value) {
    let written = serde_json::to_value(record).unwrap();
    assert_eq!(&written, expected);
    let read: R = serde_json::from_value(written).unwrap();
    assert_eq!(&read, record);
}

const D: &str = "09090909-0909-0909-0909-090909090909";

fn stamp(count: u32) -> String {
    format!(
        "{:016x}-{}",
        (1_750_000_000_u64 << 32) + u64::from(count),
        "09".repeat(16)
    )
}

fn head(n: u8, made: u32) -> Value {
    let id = id(n).to_string();
    json!({"id": id, "schema": 1, "author": D, "made": stamp(made)})
}

#[test]
fn a_hitter_with_an_edited_name_and_a_removal() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let mut hitter = Hitter {
        head: Head::new(id(1), &clock),
        name: Field::new("A".into(), clock.stamp()),
        bats: Field::new(code("both"), clock.stamp()),
        sport: Field::new(code("baseball"), clock.stamp()),
        level: Field::new(code("baseball-adult"), clock.stamp()),
        numbers: Fields::new(),
        choices: Fields::new(),
        texts: Fields::new(),
    };
    assert!(hitter.name.set("Ada".into(), &clock));
    assert!(!hitter.name.set("Ada".into(), &clock), "no edit");
    hitter.head.set_removed(true, &clock);
    let mut expected_head = head(1, 0);
    // Seeing the replaced stamp moves the logical part on before each edit.
    let edited = hitter.name.stamp().to_string();
    let removed = hitter.head.removed.as_ref().unwrap().stamp().to_string();
    expected_head["removed"] = json!({"value": true, "stamp": removed});
    pinned(
        &hitter,
        &json!({
            "head": expected_head,
            "name": {"value": "Ada", "stamp": edited,
                     "past": [{"value": "A", "stamp": stamp(1)}]},
            "bats": {"value": "both", "stamp": stamp(2)},
            "sport": {"value": "baseball", "stamp": stamp(3)},
            "level": {"value": "baseball-adult", "stamp": stamp(4)},
        }),
    );
}

#[test]
fn a_set_up() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let set_up = SetUp {
        head: Head::new(id(1), &clock),
        hitter: id(1),
        game_speed_mph: Field::new(92.0, clock.stamp()),
        pitcher: Field::new(code("left"), clock.stamp()),
        machine_distance_ft: Field::new(39.5, clock.stamp()),
        machine_speed_mph: Field::new(64.0, clock.stamp()),
        numbers: Fields::new(),
        choices: Fields::new(),
    };
    // As the first version wrote it: what nobody has written since is absent.
    pinned(
        &set_up,
        &json!({
            "head": head(1, 0), "hitter": id(1).to_string(),
            "game_speed_mph": {"value": 92.0, "stamp": stamp(1)},
            "pitcher": {"value": "left", "stamp": stamp(2)},
            "machine_distance_ft": {"value": 39.5, "stamp": stamp(3)},
            "machine_speed_mph": {"value": 64.0, "stamp": stamp(4)},
        }),
    );
}

#[test]
fn a_set_up_with_further_numbers_and_choices() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let mut set_up = SetUp {
        head: Head::new(id(1), &clock),
        hitter: id(1),
        game_speed_mph: Field::new(92.0, clock.stamp()),
        pitcher: Field::new(code("left"), clock.stamp()),
        machine_distance_ft: Field::new(39.5, clock.stamp()),
        machine_speed_mph: Field::new(64.0, clock.stamp()),
        numbers: Fields::new(),
        choices: Fields::new(),
    };
    let made = set_up.head.made;
    let swing = code("swing-s");
    assert!(write_named(&mut set_up.numbers, &swing, 0.15, made, &clock));
    assert!(!write_named(
        &mut set_up.numbers,
        &swing,
        0.15,
        made,
        &clock
    ));
    let first = set_up.numbers["swing-s"].stamp().to_string();
    assert!(write_named(&mut set_up.numbers, &swing, 0.16, made, &clock));
    let second = set_up.numbers["swing-s"].stamp().to_string();
    write_named(
        &mut set_up.choices,
        &code("pitch"),
        code("baseball-changeup"),
        made,
        &clock,
    );
    let third = set_up.choices["pitch"].stamp().to_string();
    assert!(second > first && third > second);
    pinned(
        &set_up,
        &json!({
            "head": head(1, 0), "hitter": id(1).to_string(),
            "game_speed_mph": {"value": 92.0, "stamp": stamp(1)},
            "pitcher": {"value": "left", "stamp": stamp(2)},
            "machine_distance_ft": {"value": 39.5, "stamp": stamp(3)},
            "machine_speed_mph": {"value": 64.0, "stamp": stamp(4)},
            "numbers": {"swing-s": {"value": 0.16, "stamp": second,
                "past": [{"value": 0.15, "stamp": first}]}},
            "choices": {"pitch": {"value": "baseball-changeup", "stamp": third}},
        }),
    );
}

#[test]
fn a_machine() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let machine = Equipment {
        head: Head::new(id(7), &clock),
        what: code("machine"),
        name: Field::new("Old red".into(), clock.stamp()),
        numbers: [(code("height-most-ft"), Field::new(5.5, clock.stamp()))].into(),
        choices: [(code("wheels"), Field::new(code("two"), clock.stamp()))].into(),
    };
    pinned(
        &machine,
        &json!({
            "head": head(7, 0),
            "what": "machine",
            "name": {"value": "Old red", "stamp": stamp(1)},
            "numbers": {"height-most-ft": {"value": 5.5, "stamp": stamp(2)}},
            "choices": {"wheels": {"value": "two", "stamp": stamp(3)}},
        }),
    );
}

#[test]
fn fields_by_name_merge_one_by_one() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let machine = Equipment {
        head: Head::new(id(7), &clock),
        what: code("machine"),
        name: Field::new("Old red".into(), clock.stamp()),
        numbers: Fields::new(),
        choices: Fields::new(),
    };
    let made = machine.head.made;
    let (mut one, mut other) = (machine.clone(), machine);
    write_named(&mut one.numbers, &code("height-most-ft"), 5.0, made, &clock);
    write_named(
        &mut other.numbers,
        &code("height-most-ft"),
        5.5,
        made,
        &clock,
    );
    write_named(&mut other.numbers, &code("feed-delay-s"), 1.2, made, &clock);
    let (mut first, mut second) = (one.clone(), other.clone());
    first.merge(&other);
    second.merge(&one);
    assert_eq!(first, second);
    assert_eq!(*first.numbers["height-most-ft"].get(), 5.5);
    assert_eq!(first.numbers["height-most-ft"].past()[0].value, 5.0);
    assert_eq!(*first.numbers["feed-delay-s"].get(), 1.2);
}

#[test]
fn a_check_an_observation_and_a_rep() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let stored_context = json!({"side": "left", "feed": "right", "sport": "baseball",
        "level": "baseball-adult", "environment": "machine"});
    pinned(
        &Check {
            head: Head::new(id(3), &clock),
            hitter: id(1),
            context: context(),
            choices: BTreeMap::new(),
        },
        &json!({"head": head(3, 0), "hitter": id(1).to_string(), "context": stored_context}),
    );
    pinned(
        &Observation {
            head: Head::new(id(4), &clock),
            check: id(3),
            hitter: id(1),
            item: code("launch.balance"),
            answer: code("not-yet"),
        },
        &json!({"head": head(4, 1), "check": id(3).to_string(), "hitter": id(1).to_string(),
            "item": "launch.balance", "answer": "not-yet"}),
    );
    pinned(
        &Rep {
            head: Head::new(id(5), &clock),
            hitter: id(1),
            set: id(6),
            number: 12,
            context: context(),
            count_s: 1.375,
            taken_by: code("two-taps"),
            numbers: BTreeMap::new(),
            choices: BTreeMap::new(),
        },
        &json!({"head": head(5, 2), "hitter": id(1).to_string(), "set": id(6).to_string(),
            "number": 12, "context": stored_context, "count_s": 1.375, "taken_by": "two-taps"}),
    );
}

#[test]
fn a_hitter_with_targets_an_age_band_and_a_note() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let mut hitter = Hitter {
        head: Head::new(id(1), &clock),
        name: Field::new("A".into(), clock.stamp()),
        bats: Field::new(code("both"), clock.stamp()),
        sport: Field::new(code("baseball"), clock.stamp()),
        level: Field::new(code("baseball-adult"), clock.stamp()),
        numbers: Fields::new(),
        choices: Fields::new(),
        texts: Fields::new(),
    };
    let made = hitter.head.made;
    let numbers = &mut hitter.numbers;
    write_named(numbers, &code("count-target-s"), 1.5, made, &clock);
    let choices = &mut hitter.choices;
    write_named(choices, &code("age-band"), code("13-14"), made, &clock);
    let texts = &mut hitter.texts;
    write_named(texts, &code("note"), "Eager".to_owned(), made, &clock);
    let stamp_of = |named: Option<Stamp>| named.unwrap().to_string();
    let of_number = stamp_of(hitter.numbers.get("count-target-s").map(Field::stamp));
    let of_choice = stamp_of(hitter.choices.get("age-band").map(Field::stamp));
    let of_text = stamp_of(hitter.texts.get("note").map(Field::stamp));
    pinned(
        &hitter,
        &json!({
            "head": head(1, 0),
            "name": {"value": "A", "stamp": stamp(1)},
            "bats": {"value": "both", "stamp": stamp(2)},
            "sport": {"value": "baseball", "stamp": stamp(3)},
            "level": {"value": "baseball-adult", "stamp": stamp(4)},
            "numbers": {"count-target-s": {"value": 1.5, "stamp": of_number}},
            "choices": {"age-band": {"value": "13-14", "stamp": of_choice}},
            "texts": {"note": {"value": "Eager", "stamp": of_text}},
        }),
    );
}

#[test]
fn a_group_a_join_and_what_a_coach_wrote() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    pinned(
        &Group {
            head: Head::new(id(2), &clock),
            name: Field::new("Under 14".into(), clock.stamp()),
            hitters: Fields::from([(
                code(&id(1).to_string()),
                Field::new(code("in"), clock.stamp()),
            )]),
        },
        &json!({
            "head": head(2, 0),
            "name": {"value": "Under 14", "stamp": stamp(1)},
            "hitters": {id(1).to_string(): {"value": "in", "stamp": stamp(2)}},
        }),
    );
    pinned(
        &Join {
            head: Head::new(id(3), &clock),
            one: id(1),
            other: id(4),
        },
        &json!({"head": head(3, 3), "one": id(1).to_string(), "other": id(4).to_string()}),
    );
    pinned(
        &Own {
            head: Head::new(id(5), &clock),
            what: code("card"),
            content: Field::new("{}".into(), clock.stamp()),
        },
        &json!({"head": head(5, 4), "what": "card",
            "content": {"value": "{}", "stamp": stamp(5)}}),
    );
}

#[test]
fn what_came_of_a_card() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let outcome = |n: u8, item: Option<&str>| Outcome {
        head: Head::new(id(n), &clock),
        hitter: id(1),
        card: code("tee-with-descent-guide"),
        item: item.map(code),
        outcome: code("helped"),
    };
    pinned(
        &outcome(2, Some("swing.plane")),
        &json!({"head": head(2, 0), "hitter": id(1).to_string(),
            "card": "tee-with-descent-guide", "item": "swing.plane", "outcome": "helped"}),
    );
    pinned(
        &outcome(3, None),
        &json!({"head": head(3, 1), "hitter": id(1).to_string(),
            "card": "tee-with-descent-guide", "outcome": "helped"}),
    );
}

#[test]
fn a_session_a_round_and_a_contact() {
    let clock = StampClock::start(DeviceId::from_bytes([9; 16]), wall, None);
    let context_now = serde_json::to_value(context()).unwrap();
    pinned(
        &Session {
            head: Head::new(id(2), &clock),
            name: Field::new(String::new(), clock.stamp()),
            hitters: Fields::new(),
            choices: Fields::new(),
            numbers: Fields::from([(code("success-least"), Field::new(0.4, clock.stamp()))]),
        },
        &json!({"head": head(2, 0), "name": {"value": "", "stamp": stamp(1)},
            "numbers": {"success-least": {"value": 0.4, "stamp": stamp(2)}}}),
    );
    pinned(
        &Round {
            head: Head::new(id(3), &clock),
            hitter: id(1),
            session: Some(id(2)),
            context: context(),
            numbers: Fields::new(),
            choices: Fields::new(),
        },
        &json!({"head": head(3, 3), "hitter": id(1).to_string(),
            "session": id(2).to_string(), "context": context_now}),
    );
    pinned(
        &Contact {
            head: Head::new(id(4), &clock),
            hitter: id(1),
            session: Some(id(2)),
            set: id(3),
            number: 1,
            context: context(),
            result: code("line"),
            numbers: BTreeMap::from([(code("direction-deg"), -12.5)]),
            choices: BTreeMap::from([(code("quality"), code("hard"))]),
        },
        &json!({"head": head(4, 4), "hitter": id(1).to_string(),
            "session": id(2).to_string(), "set": id(3).to_string(), "number": 1,
            "context": context_now, "result": "line",
            "numbers": {"direction-deg": -12.5}, "choices": {"quality": "hard"}}),
    );
}

#[test]
fn the_names_of_the_stores_never_change() {
    assert_eq!(
        Kind::ALL.map(Kind::store),
        [
            "hitters",
            "set-ups",
            "checks",
            "observations",
            "reps",
            "equipment",
            "groups",
            "joins",
            "own",
            "outcomes",
            "sessions",
            "rounds",
            "contacts"
        ]
    );
}
