//! The roster: hitters found by name and group, added, edited, archived, joined.

mod add;
mod editor;
mod groups;
mod joins;
mod list;
mod row;
mod target;

pub use editor::editor;

use crate::parts::{act, fold, group, live, selection};
use crate::state::{Desk, Groups, Joins, LooksAhead, OwnItems};
use leptos::prelude::*;
use notebook::{Group, RecordId};

/// So many rows at first: more than a screen of a phone has, and few enough that each
/// letter typed is answered at once.
const SHOWN_AT_ONCE: usize = 15;
/// So many more at each touch.
const SHOWN_MORE: usize = 30;

/// What the list is asked for. Stays while the book is open, so that a coach
/// comes back from a hitter to the same team.
#[derive(Clone, Copy)]
struct Wanted {
    /// The groups: an event knows no context to find them by.
    groups: Groups,
    /// As typed.
    typed: RwSignal<String>,
    /// Of this group alone.
    group: RwSignal<Option<RecordId>>,
    /// Those archived instead.
    archived: RwSignal<bool>,
    /// The group is being filled: all are listed, each to put in or take out.
    filling: RwSignal<bool>,
    /// How many rows.
    most: RwSignal<usize>,
    /// The form of a new hitter is open.
    adding: RwSignal<bool>,
    /// The hitter whose facts are open.
    editing: RwSignal<Option<RecordId>>,
}

impl Wanted {
    /// The group asked for, while it is there.
    fn group(self) -> Option<Group> {
        self.groups.group(self.group.get()?)
    }

    /// Asks for a group, or for all.
    fn ask_for(self, group: Option<RecordId>, filling: bool) {
        self.group.set(group);
        self.filling.set(filling);
        self.archived.set(false);
        self.most.set(SHOWN_AT_ONCE);
    }
}

/// What the roster and the hitter's page share, for as long as the book is open.
pub fn begin(desk: Desk) {
    let groups = Groups::start(desk);
    provide_context(groups);
    provide_context(Joins::start(desk));
    provide_context(LooksAhead::start(desk));
    // Findings of every page stand on the coach's lists.
    provide_context(OwnItems::start(desk));
    provide_context(Wanted {
        groups,
        typed: RwSignal::new(String::new()),
        group: RwSignal::new(None),
        archived: RwSignal::new(false),
        filling: RwSignal::new(false),
        most: RwSignal::new(SHOWN_AT_ONCE),
        adding: RwSignal::new(false),
        editing: RwSignal::new(None),
    });
}

/// The page.
pub fn page() -> AnyView {
    let wanted = expect_context::<Wanted>();
    wanted.typed.set(String::new());
    wanted.most.set(SHOWN_AT_ONCE);
    wanted.editing.set(None);
    wanted.adding.set(false);
    group(vec![
        // Between the page's heading and those of the folds.
        view! { <h2 class="unseen">"Hitters"</h2> }.into_any(),
        add::add_hitter(),
        find_by_name(wanted),
        live(move || which_group(wanted)),
        fold("Groups", groups::groups),
        list::list(),
    ])
}

fn find_by_name(wanted: Wanted) -> AnyView {
    view! {
        <label class="search">
            <span>"Find by name"</span>
            <input
                type="search"
                autocomplete="off"
                on:input=move |event| {
                    wanted.most.set(SHOWN_AT_ONCE);
                    wanted.typed.set(event_target_value(&event));
                }
            />
        </label>
    }
    .into_any()
}

/// The group to show, and the one being filled.
fn which_group(wanted: Wanted) -> AnyView {
    let all = wanted.groups.all();
    if all.is_empty() {
        return ().into_any();
    }
    let mut options = vec![(String::new(), "All hitters".to_owned())];
    for group in all {
        options.push((group.head.id.to_string(), group.name.get().clone()));
    }
    let chosen = move || wanted.group.get().map(|id| id.to_string());
    let fill = move || {
        let filling = wanted.filling.get();
        let label = match (wanted.group(), filling) {
            (None, _) => return ().into_any(),
            (Some(group), false) => format!("Who is in {}?", group.name.get()),
            (Some(_), true) => "Done: show the group".to_owned(),
        };
        act(
            label,
            "wide",
            Callback::new(move |()| wanted.ask_for(wanted.group.get_untracked(), !filling)),
        )
    };
    group(vec![
        selection(
            "Group",
            false,
            Signal::stored(options),
            Signal::derive(move || chosen().unwrap_or_default()),
            Callback::new(move |id: String| wanted.ask_for(id.parse().ok(), false)),
        ),
        live(fill),
    ])
}
