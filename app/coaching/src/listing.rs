//! The list of the roster: which hitters it shows for what is typed and chosen,
//! one row a hitter however many records are joined. No texts are made here and
//! nothing is stored.

use crate::joins::Joined;
use crate::search::search;

/// A hitter's record as far as the list asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry<T> {
    /// Its id.
    pub id: T,
    /// Its name, [`folded`](crate::search::folded).
    pub name: String,
    /// Whether it is out of the way.
    pub archived: bool,
}

/// The records to show, best first, each standing for all that are joined with
/// it: the smallest id among those that are here. A name of any of them finds
/// it, any of them in `group` puts it in, and it counts as archived when the
/// record that stands for it is.
///
/// `entries` come in the order to keep; `group` says whether a record is in the
/// group asked for.
pub fn listed<T: Copy + Ord>(
    entries: &[Entry<T>],
    joined: &Joined<T>,
    typed: &str,
    archived: bool,
    group: impl Fn(T) -> bool,
) -> Vec<T> {
    let stands_for = |id: T| -> T {
        let records = joined.records_of(id);
        let here = |record: &T| entries.iter().any(|entry| entry.id == *record);
        // A record that is joined with none is not looked up.
        match records.len() {
            1 => id,
            _ => records.into_iter().find(here).unwrap_or(id),
        }
    };
    let names: Vec<&str> = entries.iter().map(|entry| entry.name.as_str()).collect();
    let mut shown: Vec<T> = Vec::new();
    let mut joined_shown: Vec<T> = Vec::new();
    for place in search(typed, &names) {
        let id = entries[place].id;
        let stands = stands_for(id);
        let is_joined = joined.records_of(id).len() > 1;
        if is_joined && joined_shown.contains(&stands) {
            continue;
        }
        let standing = if stands == id {
            Some(&entries[place])
        } else {
            entries.iter().find(|entry| entry.id == stands)
        };
        let is_archived = standing.is_some_and(|entry| entry.archived);
        let in_group = joined.records_of(id).into_iter().any(&group);
        if is_archived == archived && in_group {
            shown.push(stands);
            if is_joined {
                joined_shown.push(stands);
            }
        }
    }
    shown
}
