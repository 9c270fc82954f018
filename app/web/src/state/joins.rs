//! Records of one hitter joined: the coach's act, made and taken back.

use super::Desk;
use crate::device::database::Change;
use coaching::joins::{Join as Same, Joined};
use leptos::prelude::*;
use notebook::{Join, RecordId, Stamp};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// Every act of joining, those taken back included.
#[derive(Clone, Copy)]
pub struct Joins {
    desk: Desk,
    all: RwSignal<Vec<Join>>,
}

impl Joins {
    /// Reads them, and again whenever the hitters were read again.
    pub fn start(desk: Desk) -> Self {
        let joins = Self {
            desk,
            all: RwSignal::new(Vec::new()),
        };
        Effect::new(move |_| {
            desk.hitters.track();
            if desk.opening.get() == super::Opening::Ready {
                joins.read();
            }
        });
        joins
    }

    fn read(self) {
        spawn_local(async move {
            let read = self.desk.reading(async |database| database.all().await);
            match read.await {
                Ok(all) if self.all.with_untracked(|known| *known != all) => self.all.set(all),
                Ok(_) => {}
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    /// Who is the same hitter.
    pub fn joined(self) -> Joined<RecordId> {
        let acts: Vec<Same<RecordId>> = self.all.with(|all| {
            let act = |join: &Join| Same {
                one: join.one,
                other: join.other,
                undone: join.head.is_removed(),
            };
            all.iter().map(act).collect()
        });
        Joined::of(&acts)
    }

    /// All records of the hitter of this record, this one first.
    pub fn records_of(self, hitter: RecordId) -> Vec<RecordId> {
        let mut records = self.joined().records_of(hitter);
        records.retain(|record| *record != hitter);
        records.insert(0, hitter);
        records
    }

    /// The standing joins among the records of a hitter: the two, and when they
    /// were joined first. A pair that two phones joined comes once.
    pub fn standing(self, hitter: RecordId) -> Vec<(RecordId, RecordId, Stamp)> {
        let joined = self.joined();
        let mut pairs: Vec<(RecordId, RecordId, Stamp)> = Vec::new();
        self.all.with(|all| {
            for join in all.iter().filter(|join| !join.head.is_removed()) {
                let pair = ordered(join.one, join.other);
                let known = pairs.iter().any(|(one, other, _)| (*one, *other) == pair);
                if !known && joined.is_same(join.one, hitter) {
                    pairs.push((pair.0, pair.1, join.head.made));
                }
            }
        });
        pairs
    }

    /// Says that two records are of one hitter; a note offers to take it back.
    pub fn join(self, one: RecordId, other: RecordId) {
        let Some(head) = self.desk.new_head() else {
            return;
        };
        let join = Join { head, one, other };
        self.write(vec![join], move || {
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.part(one, other));
            self.desk.notes.say(
                "Joined: the two records are read as one hitter.",
                Some(("Undo", undo)),
            );
        });
    }

    /// Takes every join of these two records back; a note offers to join again.
    pub fn part(self, one: RecordId, other: RecordId) {
        let pair = ordered(one, other);
        let mut those = self.all.get_untracked();
        those.retain(|join| ordered(join.one, join.other) == pair && !join.head.is_removed());
        let parted = self.desk.with_clock(|stamps| {
            for join in &mut those {
                join.head.set_removed(true, stamps);
            }
        });
        if parted.is_none() || those.is_empty() {
            return;
        }
        self.write(those, move || {
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.join(one, other));
            self.desk.notes.say(
                "Taken back: the two records are two hitters again.",
                Some(("Undo", undo)),
            );
        });
    }

    fn write(self, joins: Vec<Join>, then: impl Fn() + Send + Sync + 'static) {
        let changes = joins.iter().cloned();
        let changes: Vec<Arc<dyn Change>> = changes
            .map(|join| -> Arc<dyn Change> { Arc::new(join) })
            .collect();
        self.desk.save(changes, move || {
            self.all.update(|all| {
                for join in &joins {
                    all.retain(|known| known.head.id != join.head.id);
                    all.push(join.clone());
                }
            });
            then();
        });
    }
}

fn ordered(one: RecordId, other: RecordId) -> (RecordId, RecordId) {
    (one.min(other), one.max(other))
}
