//! A field that can be edited on several phones.

use crate::{Code, Stamp, StampClock};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A value with the stamp of its writing, and what stood there before.
///
/// Two copies merge into the union of all values ever written; the one with the
/// latest stamp stands, the others are kept in `past`, newest first. A stamp is
/// given once and belongs to one value: copies that break this (a cloned
/// device) are found and refused where entries come in, not here.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Field<T> {
    value: T,
    stamp: Stamp,
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    past: Vec<Past<T>>,
}

/// A value that was overwritten.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Past<T> {
    /// What stood there.
    pub value: T,
    /// When and by whom it was written.
    pub stamp: Stamp,
}

impl<T: Clone + PartialEq> Field<T> {
    /// A field first written at `stamp`.
    pub const fn new(value: T, stamp: Stamp) -> Self {
        Self {
            value,
            stamp,
            past: Vec::new(),
        }
    }

    /// What stands in the field.
    pub const fn get(&self) -> &T {
        &self.value
    }

    /// When and by whom it was written.
    pub const fn stamp(&self) -> Stamp {
        self.stamp
    }

    /// What stood there before, newest first.
    pub fn past(&self) -> &[Past<T>] {
        &self.past
    }

    /// Writes `value`, with a stamp above the one replaced. Writing what stands
    /// there already is no edit and changes nothing; says whether it was one.
    pub fn set(&mut self, value: T, clock: &StampClock) -> bool {
        if value == self.value {
            return false;
        }
        let stamp = clock.stamp_above(self.stamp);
        let replaced = Past {
            value: std::mem::replace(&mut self.value, value),
            stamp: std::mem::replace(&mut self.stamp, stamp),
        };
        self.past.insert(0, replaced);
        true
    }

    /// Takes in what another copy of this field holds. Commutative, associative
    /// and idempotent.
    pub fn merge(&mut self, other: &Self) {
        self.take_in(&other.value, other.stamp);
        for past in &other.past {
            self.take_in(&past.value, past.stamp);
        }
    }

    /// Puts one value into its place by stamp, newest first. Past values are
    /// few, so one place is searched after another.
    fn take_in(&mut self, value: &T, stamp: Stamp) {
        if stamp == self.stamp {
            return;
        }
        let mut written = Past {
            value: value.clone(),
            stamp,
        };
        if stamp > self.stamp {
            std::mem::swap(&mut self.value, &mut written.value);
            std::mem::swap(&mut self.stamp, &mut written.stamp);
        }
        let place = self
            .past
            .iter()
            .position(|past| past.stamp <= written.stamp)
            .unwrap_or(self.past.len());
        if self.past.get(place).map(|past| past.stamp) != Some(written.stamp) {
            self.past.insert(place, written);
        }
    }
}

/// Fields by name, for a record with many that mostly nobody has written: what
/// is absent is as usual.
pub type Fields<T> = BTreeMap<Code, Field<T>>;

/// Writes a field of a record that was made at `made`; says whether this was an
/// edit.
pub fn write_named<T: Clone + PartialEq>(
    fields: &mut Fields<T>,
    name: &Code,
    value: T,
    made: Stamp,
    clock: &StampClock,
) -> bool {
    match fields.get_mut(name.as_str()) {
        Some(field) => field.set(value, clock),
        None => {
            let field = Field::new(value, clock.stamp_above(made));
            fields.insert(name.clone(), field);
            true
        }
    }
}

/// What merges with another copy of itself.
pub(crate) trait Merge {
    /// Takes in what the other copy holds.
    fn merge(&mut self, other: &Self);
}

impl<T: Clone + PartialEq> Merge for Field<T> {
    fn merge(&mut self, other: &Self) {
        Field::merge(self, other);
    }
}

impl<T: Clone + PartialEq> Merge for Fields<T> {
    fn merge(&mut self, other: &Self) {
        for (name, theirs) in other {
            match self.get_mut(name.as_str()) {
                Some(mine) => mine.merge(theirs),
                None => {
                    self.insert(name.clone(), theirs.clone());
                }
            }
        }
    }
}
