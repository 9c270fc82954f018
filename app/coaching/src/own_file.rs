//! A coach's own item and a coach's arrangement as JSON of our own, with a
//! version: what the club's notebook keeps of them. No storage here.
//!
//! Reading checks as typing does: a text that came from another phone is no more
//! to be trusted than a hand.

use crate::check::{Phase, Skill, View};
use crate::checklist::Arrangement;
use crate::own::{ItemError, OwnItem};
use crate::vocabulary::Sport;
use serde_json::{Value, json};

/// The version that is written, and the newest that is read.
pub const VERSION: u64 = 1;

/// The most ids of an order, and of what is hidden. Far above what a coach can
/// look at (our choice, no source).
pub const MOST_IDS: usize = 1000;

/// Why what was kept cannot be read. It is left as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum OwnFileError {
    /// Not what this module writes.
    #[error("One of your own items or your order cannot be read. It is left as it is.")]
    NotOwn,
    /// From a newer version of this app.
    #[error(
        "One of your own items or your order has version {given}, and this app reads up to {VERSION}. It is left as it is; a newer app can read it."
    )]
    Newer {
        /// Its version.
        given: u64,
    },
    /// An item that is out of range.
    #[error(transparent)]
    Item(#[from] ItemError),
}

/// An own item as text.
pub fn write_item(item: &OwnItem) -> String {
    json!({
        "version": VERSION,
        "id": item.id,
        "phase": item.phase.id(),
        "skill": item.skill.id(),
        "sport": item.sport.map(|sport| sport.id()),
        "title": item.title,
        "view": item.view.id(),
        "good": item.good,
        "fault": item.fault,
        "how": item.how,
    })
    .to_string()
}

/// The own item of a text, checked.
pub fn read_item(text: &str) -> Result<OwnItem, OwnFileError> {
    let value = versioned(text)?;
    Ok(item_of(&value).ok_or(OwnFileError::NotOwn)?.checked()?)
}

/// An own item that is still being written, of the text that [`write_item`] made of
/// it: its texts may be of any length. `None` when it is none.
pub fn read_draft(text: &str) -> Option<OwnItem> {
    item_of(&versioned(text).ok()?)
}

fn item_of(value: &Value) -> Option<OwnItem> {
    let text_of = |name: &str| value.get(name).and_then(Value::as_str);
    let sport = match value.get("sport") {
        None | Some(Value::Null) => None,
        Some(sport) => Some(Sport::from_id(sport.as_str()?)?),
    };
    Some(OwnItem {
        id: text_of("id")?.to_owned(),
        phase: Phase::from_id(text_of("phase")?)?,
        skill: Skill::from_id(text_of("skill")?)?,
        sport,
        title: text_of("title")?.to_owned(),
        view: View::from_id(text_of("view")?)?,
        good: text_of("good")?.to_owned(),
        fault: text_of("fault")?.to_owned(),
        how: text_of("how")?.to_owned(),
    })
}

/// An arrangement as text.
pub fn write_arrangement(arrangement: &Arrangement) -> String {
    json!({
        "version": VERSION,
        "order": arrangement.order,
        "hidden": arrangement.hidden,
    })
    .to_string()
}

/// The arrangement of a text.
pub fn read_arrangement(text: &str) -> Result<Arrangement, OwnFileError> {
    let value = versioned(text)?;
    let ids = |name: &str| {
        let list = value.get(name)?.as_array()?;
        let ids: Option<Vec<String>> = list
            .iter()
            .map(|id| Some(id.as_str().filter(|id| crate::own::is_id(id))?.to_owned()))
            .collect();
        ids.filter(|ids| ids.len() <= MOST_IDS)
    };
    let read = || {
        Some(Arrangement {
            order: ids("order")?,
            hidden: ids("hidden")?,
        })
    };
    read().ok_or(OwnFileError::NotOwn)
}

fn versioned(text: &str) -> Result<Value, OwnFileError> {
    let value: Value = serde_json::from_str(text).map_err(|_| OwnFileError::NotOwn)?;
    match value.get("version").and_then(Value::as_u64) {
        Some(1..=VERSION) => Ok(value),
        Some(given) if given > VERSION => Err(OwnFileError::Newer { given }),
        _ => Err(OwnFileError::NotOwn),
    }
}
