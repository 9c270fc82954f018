//! Counts that the phone itself does not trust: shown with the reason, and recorded
//! only when the coach says so.

use super::run::Tempo;
use crate::parts::{act, group, line, live};
use crate::state::{Taken, lasting};
use crate::words::fixed;
use leptos::prelude::*;
use notebook::RecordId;
use std::cell::OnceCell;

/// A count with a poor mark.
#[derive(Debug, Clone)]
pub struct Held {
    /// Whose it is.
    pub hitter: Option<RecordId>,
    /// The count; its number is 0 until it is kept, when no plan gave it one.
    pub taken: Taken,
    /// The mark with its reasons.
    pub why: String,
}

thread_local! {
    static HELD: OnceCell<(Owner, RwSignal<Vec<Held>>)> = const { OnceCell::new() };
}

/// Everything that waits, of all hitters. It has an owner of its own, so that nothing
/// is lost while another page of the book is looked at.
pub fn all_held() -> RwSignal<Vec<Held>> {
    HELD.with(|kept| kept.get_or_init(|| lasting(|| RwSignal::new(Vec::new()))).1)
}

impl Tempo {
    /// Holds a count back until the coach keeps it or leaves it.
    pub fn hold(self, held: Held) {
        self.said.set(format!(
            "{} s, not kept yet. {}",
            fixed(held.taken.count_s, 2),
            held.why
        ));
        self.held.update(|all| all.push(held));
    }

    fn let_go(self, place: usize) -> Option<Held> {
        self.held
            .try_update(|all| (place < all.len()).then(|| all.remove(place)))
            .flatten()
    }
}

/// What waits, each with its two ways on.
pub fn view(tempo: Tempo) -> AnyView {
    live(move || {
        let hitter = tempo.desk.chosen.get();
        let all = tempo.held.get().into_iter().enumerate();
        let own: Vec<_> = all.filter(|(_, held)| held.hitter == hitter).collect();
        if own.is_empty() {
            return ().into_any();
        }
        let rows = own.into_iter().map(|(place, held)| {
            let count = fixed(held.taken.count_s, 2);
            let keep = move |()| {
                if let Some(held) = tempo.let_go(place) {
                    tempo.keep_held(held.taken);
                }
            };
            let leave = move |()| {
                if let Some(held) = tempo.let_go(place) {
                    let text = format!("{} s is left out.", fixed(held.taken.count_s, 2));
                    let undo = std::sync::Arc::new(move || tempo.hold(held.clone()));
                    tempo.desk.notes.say(text, Some(("Undo", undo)));
                }
            };
            group(vec![
                line("line", format!("{count} s. {}", held.why)),
                act(
                    format!("Keep {count} s all the same"),
                    "wide",
                    Callback::new(keep),
                ),
                act(
                    format!("Leave {count} s out"),
                    "quiet",
                    Callback::new(leave),
                ),
            ])
        });
        let rows: Vec<AnyView> = rows.collect();
        view! {
            <section class="tempo-stopped" aria-label="Counts that wait">
                <p>"Not kept yet: the phone does not trust these counts."</p>
                {rows}
            </section>
        }
        .into_any()
    })
}
