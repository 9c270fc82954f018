//! Work in steps, each after the screen had a chance to paint: it shows how far
//! it has come, starts again when what it works from changes, and stops when
//! its place on the screen is gone.

use leptos::prelude::*;
use std::time::Duration;

/// The results so far, of so many, by `step`: called with each number in turn,
/// after `restart` has changed or at first. A step may track nothing.
pub fn in_steps<T: Send + Sync + 'static>(
    total: usize,
    restart: impl Fn() + 'static,
    step: fn(usize) -> T,
    owner: Owner,
) -> RwSignal<Vec<T>> {
    let done = RwSignal::new(Vec::with_capacity(total));
    let round = StoredValue::new(0_u32);
    Effect::new(move |_| {
        restart();
        round.update_value(|round| *round += 1);
        done.set(Vec::new());
        next(total, step, done, round, round.get_value(), owner.clone());
    });
    done
}

fn next<T: Send + Sync + 'static>(
    total: usize,
    step: fn(usize) -> T,
    done: RwSignal<Vec<T>>,
    round: StoredValue<u32>,
    mine: u32,
    owner: Owner,
) {
    set_timeout(
        move || {
            // Gone with its fold, or overtaken by a newer question.
            if round.try_get_value() != Some(mine) {
                return;
            }
            let number = done.with_untracked(Vec::len);
            let result = owner.with(|| untrack(|| step(number)));
            done.update(|done| done.push(result));
            if number + 1 < total {
                next(total, step, done, round, mine, owner);
            }
        },
        Duration::ZERO,
    );
}
