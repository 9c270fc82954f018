//! The merge of records in their JSON form: a union for any kind, and the very
//! same as the typed one.

use devices::samples;
use devices::time::{set_wall_s, wall};
use notebook::merge::{history, merge};
use notebook::plan::{keys, plan};
use notebook::{Change, DeviceId, Hitter, RecordId, Stamp, StampClock};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn id() -> RecordId {
    RecordId::from_bytes([9; 16])
}

fn device(n: u8) -> DeviceId {
    DeviceId::from_bytes([n + 1; 16])
}

/// Any stamp of one of three devices, at one of few times, so that many meet.
fn any_stamp() -> impl Strategy<Value = Stamp> {
    (1..40_u64, 0..3_u8).prop_map(|(time, n)| Stamp::new(notebook::NTP64(time), device(n)))
}

/// A field as two copies of one record may hold it: each stamp has one value,
/// as long as no phone is cloned.
fn any_field() -> impl Strategy<Value = Value> {
    prop::collection::btree_set(any_stamp(), 1..5).prop_map(|stamps| {
        let written =
            |stamp: &Stamp| json!({"value": value_of(*stamp), "stamp": stamp.to_string()});
        let mut newest_first = stamps.iter().rev().map(written);
        let mut field = newest_first.next().unwrap();
        let past: Vec<Value> = newest_first.collect();
        if !past.is_empty() {
            field["past"] = past.into();
        }
        field
    })
}

fn value_of(stamp: Stamp) -> String {
    format!("written at {}", stamp.time().as_u64())
}

/// A copy of one record of a kind that nobody knows: some of its fields, one of
/// them within a field's neighbour, a constant, perhaps a removal.
fn any_copy() -> impl Strategy<Value = Value> {
    let fields = prop::collection::btree_map("[a-d]", any_field(), 0..4);
    (fields, prop::option::of(any_field()), any_stamp(), 1..3_u16).prop_map(
        |(fields, removed, made, schema)| {
            let mut copy = json!({
                "head": {"id": id().to_string(), "schema": schema,
                    "author": made.device().to_string(), "made": made.to_string()},
                "constant": {"side": "left", "count": 1.5},
                "within": fields.get("a").map_or(json!({}), |field| json!({"deep": field})),
            });
            if let Some(removed) = removed {
                copy["head"]["removed"] = removed;
            }
            for (name, field) in fields {
                copy[name] = field;
            }
            copy
        },
    )
}

/// A copy of one hitter.
fn any_hitter() -> impl Strategy<Value = Value> {
    let fields = prop::collection::vec(any_field(), 4);
    (fields, prop::option::of(any_removal()), any_stamp()).prop_map(|(fields, removed, made)| {
        let mut copy = json!({"head": {"id": id().to_string(), "schema": 1,
            "author": made.device().to_string(), "made": made.to_string()}});
        if let Some(removed) = removed {
            copy["head"]["removed"] = removed;
        }
        for (name, field) in ["name", "bats", "sport", "level"].iter().zip(fields) {
            let text = field.to_string().replace("written at ", "written-at-");
            copy[*name] = serde_json::from_str(&text).unwrap();
        }
        copy
    })
}

fn any_removal() -> impl Strategy<Value = Value> {
    any_field().prop_map(|mut field| {
        let even = |value: &Value| json!(value.as_str().unwrap().len().is_multiple_of(2));
        field["value"] = even(&field["value"]);
        for past in field
            .get_mut("past")
            .and_then(Value::as_array_mut)
            .into_iter()
            .flatten()
        {
            past["value"] = even(&past["value"]);
        }
        field
    })
}

/// Any JSON at all: what a broken or hostile phone may send.
fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        (0..5_u64).prop_map(Value::from),
        "[a-c]{0,2}".prop_map(Value::from),
        any_stamp().prop_map(|stamp| stamp.to_string().into()),
    ];
    let names = prop_oneof![
        Just("head"),
        Just("made"),
        Just("author"),
        Just("schema"),
        Just("value"),
        Just("stamp"),
        Just("past"),
        Just("a"),
        Just("b"),
    ];
    leaf.prop_recursive(4, 40, 5, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..3).prop_map(Value::from),
            prop::collection::btree_map(names.clone(), inner, 0..5).prop_map(|map| {
                Value::Object(map.into_iter().map(|(k, v)| (k.to_owned(), v)).collect())
            }),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn any_order_grouping_or_repeat_of_copies_ends_the_same(
        a in any_copy(), b in any_copy(), c in any_copy(),
    ) {
        prop_assert_eq!(merge(&a, &b), merge(&b, &a), "commutative");
        prop_assert_eq!(merge(&merge(&a, &b), &c), merge(&a, &merge(&b, &c)), "associative");
        let once = merge(&a, &b);
        prop_assert_eq!(&merge(&once, &b), &once, "idempotent");
        prop_assert_eq!(&merge(&once, &once), &once);
    }

    #[test]
    fn even_copies_that_are_no_records_end_the_same(a in any_json(), b in any_json(), c in any_json()) {
        prop_assert_eq!(merge(&a, &b), merge(&b, &a), "commutative");
        prop_assert_eq!(merge(&merge(&a, &b), &c), merge(&a, &merge(&b, &c)), "associative");
        let once = merge(&a, &b);
        prop_assert_eq!(&merge(&once, &a), &once, "idempotent");
    }

    #[test]
    fn the_merge_of_json_is_the_typed_merge(a in any_hitter(), b in any_hitter()) {
        use notebook::Record;
        let mut typed: Hitter = serde_json::from_value(a.clone()).unwrap();
        typed.merge(&serde_json::from_value(b.clone()).unwrap());
        prop_assert_eq!(serde_json::to_value(&typed).unwrap(), merge(&a, &b));
    }

    #[test]
    fn the_union_of_all_entries_is_the_record_with_its_whole_history(
        names in prop::collection::vec("[a-z]{1,5}", 1..12),
        seen in prop::collection::vec(any::<prop::sample::Index>(), 0..20),
    ) {
        set_wall_s(1_750_000_000);
        let clock = StampClock::start(device(0), wall, None);
        let mut hitter = samples::hitter(id(), "first", &clock);
        let mut stored = None;
        let mut entries = Vec::new();
        // Sometimes two edits in one write: the value between stands in no
        // stored copy, only in the written one's past.
        for pair in names.chunks(2) {
            for name in pair {
                hitter.name.set(name.clone(), &clock);
            }
            entries.push(Change::of(stored.as_ref(), &hitter).unwrap());
            stored = Some(serde_json::to_value(&hitter).unwrap());
        }
        let whole = stored.unwrap();
        for entry in &entries {
            let past = entry.record["name"]["past"].as_array();
            prop_assert!(past.is_none_or(|past| past.len() <= 2), "an entry does not grow");
        }
        let mut order: Vec<&Change> = seen.iter().map(|at| at.get(&entries)).collect();
        order.extend(&entries);
        let arrived: Vec<Change> = order.into_iter().cloned().collect();
        let made = plan(&arrived, &BTreeMap::new());
        prop_assert_eq!(&made.steps[0].record, &whole);
        let past = history(&whole);
        prop_assert!(past.windows(2).all(|pair| pair[0].stamp > pair[1].stamp));
        prop_assert_eq!(past.len(), hitter.name.past().len());
        // A plan that has been carried out has nothing left to do.
        let stored = made.steps.into_iter().map(|step| (step.key, step.record)).collect();
        prop_assert_eq!(plan(&arrived, &stored).steps.len(), 0);
    }
}

#[test]
fn restoring_an_overwritten_value_is_a_new_edit_that_wins_everywhere() {
    set_wall_s(1_750_000_000);
    let clock = StampClock::start(device(0), wall, None);
    let mut hitter = samples::hitter(id(), "first", &clock);
    hitter.name.set("second".to_owned(), &clock);
    let other = serde_json::to_value(&hitter).unwrap();
    let old = history(&other).remove(0);
    assert_eq!((old.field.as_str(), &old.value), ("name", &json!("first")));
    let value: String = serde_json::from_value(old.value).unwrap();
    assert!(hitter.name.set(value, &clock));
    let merged = merge(&other, &serde_json::to_value(&hitter).unwrap());
    assert_eq!(merged["name"]["value"], "first");
    assert_eq!(merged["name"]["past"].as_array().unwrap().len(), 2);
}

#[test]
fn a_plan_says_what_is_new_what_changed_and_what_was_removed() {
    use notebook::plan::What;
    set_wall_s(1_750_000_000);
    let clock = StampClock::start(device(0), wall, None);
    let mut hitter = samples::hitter(id(), "first", &clock);
    let mut stored = BTreeMap::new();
    let mut carry_out = |hitter: &Hitter| {
        let change = Change::of(None, hitter).unwrap();
        assert_eq!(keys(std::slice::from_ref(&change)).len(), 1);
        let made = plan(&[change], &stored);
        let what: Vec<What> = made.steps.iter().map(|step| step.what).collect();
        stored.extend(made.steps.into_iter().map(|step| (step.key, step.record)));
        (what, made.latest)
    };
    assert_eq!(carry_out(&hitter).0, [What::Insert]);
    hitter.name.set("second".to_owned(), &clock);
    assert_eq!(
        carry_out(&hitter),
        (vec![What::Update], Some(hitter.name.stamp()))
    );
    hitter.head.set_removed(true, &clock);
    assert_eq!(carry_out(&hitter).0, [What::Tombstone]);
    assert_eq!(carry_out(&hitter).0, [], "nothing is left to do");
    hitter.head.set_removed(false, &clock);
    assert_eq!(carry_out(&hitter).0, [What::Update], "taken back");
}
