//! The merge of two copies of a record in their JSON form, whatever their kind:
//! records of a kind that only a newer version knows merge just as ours do.
//! Agrees with the typed merge (`tests/devices/merge.rs`).
//!
//! A join of semilattices: an object that holds a stamp is a field and the union
//! of all values ever written to it; any other object is joined name by name;
//! of anything else, which two copies of one record have in common, the lesser
//! text stands, so that even copies that break this end the same everywhere.

use crate::Stamp;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// What both copies hold. Commutative, associative and idempotent.
#[must_use]
pub fn merge(a: &Value, b: &Value) -> Value {
    merge_named("", a, b)
}

/// The merge of what stands under `name` in both copies.
fn merge_named(name: &str, a: &Value, b: &Value) -> Value {
    match (a, b) {
        (Value::Object(a), Value::Object(b)) => match (stamp_of(a), stamp_of(b)) {
            (Some(_), Some(_)) => merge_fields(a, b),
            // A field stands above what is none: one copy was written when it
            // could not be edited yet.
            (Some(_), None) => merge_fields(a, a),
            (None, Some(_)) => merge_fields(b, b),
            (None, None) if name == "head" => Value::Object(merge_heads(a, b)),
            (None, None) => Value::Object(merge_objects(a, b)),
        },
        (Value::Object(_), _) => merge_named(name, a, a),
        (_, Value::Object(_)) => merge_named(name, b, b),
        _ => lesser(a, b).clone(),
    }
}

/// The latest stamp in a record: the clock must stay above it.
#[must_use]
pub fn latest_stamp(record: &Value) -> Option<Stamp> {
    let Value::Object(object) = record else {
        return None;
    };
    let made = object.get("made").and_then(stamp_in);
    let within = object.values().filter_map(latest_stamp).max();
    stamp_of(object).max(made).max(within)
}

/// A value that once stood in a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Overwritten {
    /// Name of the field.
    pub field: String,
    /// What stood there.
    pub value: Value,
    /// When and by whom it was written.
    pub stamp: Stamp,
}

/// All overwritten values of a record, newest first. To restore one is to write
/// it again: a new edit.
#[must_use]
pub fn history(record: &Value) -> Vec<Overwritten> {
    let mut found = Vec::new();
    let fields = record.as_object().into_iter().flatten();
    for (name, field) in fields {
        let past = field.get("past").and_then(Value::as_array);
        found.extend(past.into_iter().flatten().filter_map(|past| {
            Some(Overwritten {
                field: name.clone(),
                value: past.get("value")?.clone(),
                stamp: stamp_in(past.get("stamp")?)?,
            })
        }));
    }
    found.sort_by_key(|overwritten| std::cmp::Reverse(overwritten.stamp));
    found
}

fn stamp_in(value: &Value) -> Option<Stamp> {
    value.as_str()?.parse().ok()
}

/// The stamp of a field; an object without one is no field.
fn stamp_of(object: &Map<String, Value>) -> Option<Stamp> {
    object.get("stamp").and_then(stamp_in)
}

fn merge_objects(a: &Map<String, Value>, b: &Map<String, Value>) -> Map<String, Value> {
    let mut merged = a.clone();
    for (name, theirs) in b {
        match merged.get_mut(name) {
            None => {
                merged.insert(name.clone(), theirs.clone());
            }
            Some(mine) if mine == theirs => {}
            Some(mine) => *mine = merge_named(name, mine, theirs),
        }
    }
    merged
}

/// Two heads of one record: the version of the format that wrote last, and,
/// where two phones made the record apart, the earlier making with its author.
fn merge_heads(a: &Map<String, Value>, b: &Map<String, Value>) -> Map<String, Value> {
    let mut merged = merge_objects(a, b);
    put(
        &mut merged,
        "schema",
        greater(a.get("schema"), b.get("schema")),
    );
    let making = |copy: &Map<String, Value>| {
        let text = |name| copy.get(name).map(Value::to_string);
        (copy.get("made").is_none(), text("made"), text("author"))
    };
    let first = if making(b) < making(a) { b } else { a };
    for name in ["made", "author"] {
        put(&mut merged, name, first.get(name));
    }
    merged
}

fn put(into: &mut Map<String, Value>, name: &str, value: Option<&Value>) {
    match value {
        Some(value) => into.insert(name.to_owned(), value.clone()),
        None => into.remove(name),
    };
}

/// The union of all values ever written to two copies of one field.
fn merge_fields(a: &Map<String, Value>, b: &Map<String, Value>) -> Value {
    let mut written: BTreeMap<Stamp, Value> = BTreeMap::new();
    for copy in [a, b] {
        let past = copy.get("past").and_then(Value::as_array);
        let past = past.into_iter().flatten().filter_map(Value::as_object);
        for values in past.chain([copy]) {
            let Some(stamp) = stamp_of(values) else {
                continue;
            };
            let value = values.get("value").unwrap_or(&Value::Null);
            let known = written.entry(stamp).or_insert_with(|| value.clone());
            if known != value {
                *known = lesser(known, value).clone();
            }
        }
    }
    let rest = |copy: &Map<String, Value>| {
        let mut rest = copy.clone();
        for name in ["value", "stamp", "past"] {
            rest.remove(name);
        }
        rest
    };
    let mut merged = merge_objects(&rest(a), &rest(b));
    if let Some((stamp, value)) = written.pop_last() {
        merged.insert("value".to_owned(), value);
        merged.insert("stamp".to_owned(), stamp.to_string().into());
    }
    if !written.is_empty() {
        let past = written.into_iter().rev().map(|(stamp, value)| {
            let stamp = Value::from(stamp.to_string());
            Value::Object(
                [("value".to_owned(), value), ("stamp".to_owned(), stamp)]
                    .into_iter()
                    .collect(),
            )
        });
        merged.insert("past".to_owned(), past.collect());
    }
    Value::Object(merged)
}

fn lesser<'a>(a: &'a Value, b: &'a Value) -> &'a Value {
    let [text_a, text_b] = [a, b].map(Value::to_string);
    if text_a <= text_b { a } else { b }
}

/// The greater of two numbers; a number stands above what is none.
fn greater<'a>(a: Option<&'a Value>, b: Option<&'a Value>) -> Option<&'a Value> {
    let rank = |value: Option<&Value>| (value.and_then(Value::as_u64), value.map(Value::to_string));
    if rank(b) > rank(a) { b } else { a }
}
