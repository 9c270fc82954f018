//! A long view that is there at once: the parts that fill the screen come with it,
//! the others after it is painted, one a frame, so that a finger never waits for what
//! it cannot see yet.

use super::{group, live};
use crate::device::page::after_paint;
use leptos::prelude::*;

/// One part of a long view.
pub type Part = Box<dyn Fn() -> AnyView + Send + Sync>;

/// The first `at_once` of `parts` now, the others one after the other.
pub fn one_by_one(at_once: usize, parts: Vec<Part>) -> AnyView {
    let shown = RwSignal::new(at_once);
    show_next(shown, parts.len());
    let views = parts.into_iter().enumerate().map(|(place, part)| {
        if place < at_once {
            return part();
        }
        let is_due = Memo::new(move |_| place < shown.get());
        live(move || match is_due.get() {
            true => part(),
            false => group(vec![]),
        })
    });
    group(views.collect())
}

fn show_next(shown: RwSignal<usize>, all: usize) {
    after_paint(move || {
        // Its place on the screen may be gone.
        if shown.try_get_untracked().is_some_and(|so_far| so_far < all) {
            shown.update(|so_far| *so_far += 1);
            show_next(shown, all);
        }
    });
}

/// What `of` gives, each time once what else changed with it is painted: for what
/// takes long to work out.
pub fn follows<T: Clone + Send + Sync + 'static>(of: impl Fn() -> T + 'static) -> RwSignal<T> {
    let shown = RwSignal::new(untrack(&of));
    Effect::new(move |before: Option<()>| {
        let now = of();
        if before.is_some() {
            after_paint(move || {
                let _ = shown.try_set(now);
            });
        }
    });
    shown
}
