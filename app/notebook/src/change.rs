//! A change as a log entry carries it: a record's copy, without what this phone
//! had logged before.

use crate::{Record, RecordId};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// One entry of a device's log: a record as it stands after a write.
///
/// The whole record and not the touched field alone: the entries of two authors
/// arrive in any order, and a record that arrives by an edit before its making
/// must be complete. Of the overwritten values only those are carried that the
/// stored copy did not have, so an entry does not grow with a record's history.
/// The union of all entries is the record with its full history.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// Name of the record's store; of a kind that this version may not know.
    pub store: String,
    /// The record's JSON form.
    pub record: Value,
}

impl Change {
    /// What a write made of the copy that was stored before it.
    #[must_use]
    pub fn between(store: &str, stored: Option<&Value>, written: &Value) -> Self {
        let mut record = written.clone();
        if let Some(stored) = stored {
            forget_known_past(&mut record, stored);
        }
        Self {
            store: store.to_owned(),
            record,
        }
    }

    /// As [`Self::between`], for a record of a known kind.
    ///
    /// # Errors
    /// When the record cannot be written as JSON, which none of ours cannot.
    pub fn of<R: Record>(stored: Option<&Value>, written: &R) -> Result<Self, serde_json::Error> {
        let written = serde_json::to_value(written)?;
        Ok(Self::between(R::KIND.store(), stored, &written))
    }

    /// The record's identity; `None` when it is no record.
    #[must_use]
    pub fn id(&self) -> Option<RecordId> {
        self.record.get("head")?.get("id")?.as_str()?.parse().ok()
    }
}

/// Takes out of `record` the overwritten values that `stored` holds too.
fn forget_known_past(record: &mut Value, stored: &Value) {
    let (Value::Object(record), Value::Object(stored)) = (record, stored) else {
        return;
    };
    let mut none_left = false;
    for (name, value) in record.iter_mut() {
        match (name.as_str(), value, stored.get(name)) {
            ("past", Value::Array(past), Some(Value::Array(known))) => {
                let same = |a: &Value, b: &Value| a.get("stamp") == b.get("stamp");
                past.retain(|mine| !known.iter().any(|theirs| same(mine, theirs)));
                none_left = past.is_empty();
            }
            (_, value, Some(known)) => forget_known_past(value, known),
            (_, _, None) => {}
        }
    }
    // The value that stood in the stored copy has been logged too.
    if none_left {
        record.remove("past");
    }
}
