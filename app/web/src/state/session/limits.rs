//! The most swings of a hitter, as the coach sets it.

use super::super::names::hitter as name;
use super::super::{Desk, desk::code};
use crate::device::database::Change;
use coaching::loads::{Limits, LoadError};
use leptos::prelude::*;
use notebook::{Hitter, Record, RecordId, write_named};
use std::sync::Arc;

/// A limit as it is kept; 0 is none.
fn kept(hitter: &Hitter, name: &str) -> Option<u32> {
    let field = hitter.numbers.get(name)?;
    Some(*field.get() as u32).filter(|limit| *limit > 0)
}

/// The limits of a hitter; none when what is kept cannot be limits.
pub fn limits_of(hitter: &Hitter) -> Limits {
    let (day, week) = (
        kept(hitter, name::SWINGS_DAY),
        kept(hitter, name::SWINGS_WEEK),
    );
    // A week below the day, as two phones may leave it: each still holds alone.
    Limits::new(day, week)
        .or_else(|_| Limits::new(day, None))
        .unwrap_or_default()
}

impl Desk {
    /// Sets the limits of a hitter.
    ///
    /// # Errors
    /// Outside of what is allowed; nothing is written then.
    pub fn set_limits(
        self,
        id: RecordId,
        a_day: Option<u32>,
        seven_days: Option<u32>,
    ) -> Result<(), LoadError> {
        Limits::new(a_day, seven_days)?;
        let found = self
            .hitters
            .with_untracked(|all| all.iter().find(|hitter| hitter.head.id == id).cloned());
        let Some(mut hitter) = found else {
            return Ok(());
        };
        let written = self.with_clock(|stamps| {
            for (name, limit) in [(name::SWINGS_DAY, a_day), (name::SWINGS_WEEK, seven_days)] {
                let value = f64::from(limit.unwrap_or(0));
                write_named(
                    &mut hitter.numbers,
                    &code(name),
                    value,
                    hitter.head.made,
                    stamps,
                );
            }
        });
        if written.is_none() {
            return Ok(());
        }
        let hitter = Arc::new(hitter);
        let change: Arc<dyn Change> = hitter.clone();
        self.save(vec![change], move || {
            self.hitters.update(|all| {
                if let Some(shown) = all.iter_mut().find(|shown| shown.head.id == id) {
                    shown.merge(&hitter);
                }
            });
        });
        Ok(())
    }
}
