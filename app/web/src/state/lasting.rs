//! State that outlives the page of the book that made it.

use leptos::prelude::*;

/// What `make` gives, with an owner of its own: it lasts as long as the owner is kept.
pub fn lasting<T>(make: impl FnOnce() -> T) -> (Owner, T) {
    // A new root makes itself the current owner: put the page's back.
    let here = Owner::current();
    let owner = Owner::new_root(None);
    let made = owner.with(make);
    if let Some(here) = here {
        here.set();
    }
    (owner, made)
}
