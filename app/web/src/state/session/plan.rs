//! The planned round of the session: kept in it, named on each of its balls, and the
//! next kind of ball set before its touch. How a round is ordered is in `coaching`.

use super::super::has_feed;
use super::super::{desk::code, names::contact, names::session as name};
use super::Practice;
use coaching::practice_order::PracticeOrder;
use coaching::practice_order::planned::{BallKind, PlanError, Planned};
use leptos::prelude::*;
use notebook::{Code, Contact, RecordId, write_named};
use std::collections::BTreeMap;

const NONE: &str = "none";

impl Practice {
    /// The planned round, if there is one.
    pub fn plan(self) -> Option<Planned> {
        let order = PracticeOrder::from_id(&self.choice(name::ORDER)?)?;
        let kinds = name::KINDS.iter().filter_map(|kind| self.choice(kind));
        let kinds = kinds.filter_map(|code| BallKind::from_code(&code));
        let [each, seed] = [name::EACH, name::SEED].map(|of| self.number(of));
        Planned::new(order, kinds.collect(), each? as u32, seed? as u32).ok()
    }

    /// Plans a round, from its first ball on.
    ///
    /// # Errors
    /// Outside of what is allowed; the round from before is kept.
    pub fn set_plan(
        self,
        order: PracticeOrder,
        kinds: &[BallKind],
        each: u32,
    ) -> Result<(), PlanError> {
        let drawn = (js_sys::Math::random() * f64::from(u32::MAX)) as u32;
        Planned::new(order, kinds.to_vec(), each, drawn)?;
        let codes: Vec<String> = kinds.iter().map(|kind| kind.code()).collect();
        self.edit_then(
            Box::new(move |session, stamps| {
                let made = session.head.made;
                let mut put = |of: &str, id: &str| {
                    write_named(&mut session.choices, &code(of), code(id), made, stamps);
                };
                put(name::ORDER, order.id());
                for (place, kind) in name::KINDS.iter().enumerate() {
                    put(kind, codes.get(place).map_or(NONE, String::as_str));
                }
                for (of, value) in [(name::EACH, each), (name::SEED, drawn)] {
                    let value = f64::from(value);
                    write_named(&mut session.numbers, &code(of), value, made, stamps);
                }
            }),
            Box::new(move || self.set_next()),
        );
        Ok(())
    }

    /// Without a planned round from now on.
    pub fn drop_plan(self) {
        self.choose(name::ORDER, NONE);
    }

    /// How many balls of the planned round the hitter at the plate has had.
    pub fn planned_so_far(self, plan: &Planned) -> usize {
        self.counted.track();
        self.waiting.track();
        let Some(hitter) = self.hitter.get() else {
            return 0;
        };
        let seed = f64::from(plan.seed());
        let of_latest = self.latest.with_value(|latest| {
            let mut newest = latest.iter().rev();
            newest.find_map(|contact| place_in(contact, hitter, seed))
        });
        of_latest.unwrap_or_else(|| {
            // Before the latest: others had their turns meanwhile.
            self.balls.with_value(|balls| {
                let is_here = |ball: &&super::Ball| {
                    ball.hitter == hitter && ball.planned.is_some_and(|(drawn, _)| drawn == seed)
                };
                let found = balls.iter().rev().find(is_here);
                found
                    .filter(|_| self.latest.with_value(Vec::len) == super::BACK)
                    .and_then(|ball| ball.planned)
                    .map_or(0, |(_, place)| place as usize)
            })
        })
    }

    /// What a ball of the planned round is marked by.
    pub(super) fn mark_planned(
        self,
        numbers: &mut BTreeMap<Code, f64>,
        choices: &mut BTreeMap<Code, Code>,
    ) {
        let Some(plan) = untrack(|| self.plan()) else {
            return;
        };
        let so_far = untrack(|| self.planned_so_far(&plan));
        if so_far < plan.balls() {
            choices.insert(code(contact::ORDER), code(plan.order().id()));
            numbers.insert(code(contact::SEED), f64::from(plan.seed()));
            numbers.insert(code(contact::PLACE), so_far as f64 + 1.0);
        }
    }

    /// Sets what the planned round has next, so that its touch is one touch.
    pub(super) fn set_next(self) {
        let next = untrack(|| {
            let plan = self.plan()?;
            plan.after(self.planned_so_far(&plan))
        });
        let Some(next) = next else { return };
        let desk = self.desk;
        if desk.environment.get_untracked() != next.environment {
            desk.set_environment(next.environment);
        }
        if let Some(feed) = next.feed
            && desk.feed.get_untracked() != feed
        {
            desk.set_feed(feed);
        }
        if self.pitch.get_untracked() != next.pitch {
            self.pitch.set(next.pitch);
        }
    }

    /// The kind of ball that is set now.
    pub fn kind_now(self) -> BallKind {
        let environment = self.desk.environment.get();
        BallKind {
            environment,
            feed: has_feed(environment).then(|| self.desk.feed.get()),
            pitch: self.pitch.get(),
        }
    }
}

fn place_in(contact: &Contact, hitter: RecordId, seed: f64) -> Option<usize> {
    let number = |of: &str| contact.numbers.get(of).copied();
    (contact.hitter == hitter && number(contact::SEED) == Some(seed))
        .then(|| number(contact::PLACE).map(|place| place as usize))
        .flatten()
}
