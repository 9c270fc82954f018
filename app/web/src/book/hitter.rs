//! One hitter's page: where the work is, what was tried, what changed, the sets
//! of late, and what is kept.

mod changed;
mod facts;
mod finding;
mod hits;
mod sets;
mod tried;

use crate::parts::{Leaf, act, fold, group, line, live, refusal, said, way};
use crate::roster;
use crate::state::{Desk, Joins, Profile};
use finding::{OfSide, by_side};
use leptos::prelude::*;
use notebook::RecordId;
use wasm_bindgen_futures::spawn_local;

/// What was read, or why it could not be.
type Read = Option<Result<Profile, String>>;

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let read = RwSignal::new(None::<Result<Profile, String>>);
    let records = Memo::new(move |_| records(desk));
    let again = RwSignal::new(0_u32);
    Effect::new(move |_| {
        again.track();
        // A look or a set that came in from elsewhere.
        desk.sheet.track();
        desk.round.track();
        let records = records.get();
        if records.is_empty() {
            return;
        }
        spawn_local(async move {
            let profile = desk.profile(&records).await;
            // Another hitter may have been chosen meanwhile.
            if desk.chosen.get_untracked() == Some(records[0]) {
                read.set(Some(profile.map_err(|error| error.to_string())));
            }
        });
    });
    // By the id alone: a fact that is changed must not close what is open.
    let chosen = Memo::new(move |_| desk.hitter().map(|hitter| hitter.head.id));
    live(move || match chosen.get() {
        None => nobody(),
        Some(id) => whole(id, read, again),
    })
}

/// The records of the chosen hitter, the chosen one first; none when nobody is
/// chosen.
fn records(desk: Desk) -> Vec<RecordId> {
    let Some(chosen) = desk.chosen.get() else {
        return Vec::new();
    };
    let mut records = expect_context::<Joins>().joined().records_of(chosen);
    records.retain(|record| *record != chosen);
    records.insert(0, chosen);
    records
}

fn nobody() -> AnyView {
    group(vec![
        line("empty", "No hitter is chosen."),
        way(
            Leaf::Roster.path(),
            "Choose one on the roster",
            "wide",
            true,
        ),
    ])
}

fn whole(id: RecordId, read: RwSignal<Read>, again: RwSignal<u32>) -> AnyView {
    let shown = move || match read.get() {
        Some(Ok(profile)) if profile.hitter == id => of_profile(&profile),
        Some(Err(reason)) => group(vec![
            refusal(reason),
            act(
                "Read again",
                "",
                Callback::new(move |()| again.update(|again| *again += 1)),
            ),
        ]),
        _ => said("state", "Reading…"),
    };
    group(vec![
        live(facts::heading),
        live(shown),
        hits::hits(id),
        links(),
        live(move || facts::kept(id)),
        fold("Change what is kept", change),
    ])
}

fn of_profile(profile: &Profile) -> AnyView {
    let sides: Vec<OfSide> = by_side(profile);
    group(vec![
        finding::where_the_work_is(&sides),
        changed::what_changed(&sides),
        tried::what_was_tried(profile),
        sets::counts_of_late(profile),
    ])
}

fn change() -> AnyView {
    let desk = expect_context::<Desk>();
    live(move || match desk.chosen.get() {
        Some(id) => roster::editor(id),
        None => ().into_any(),
    })
}

/// Where to go on with this hitter.
fn links() -> AnyView {
    let links = [Leaf::Check, Leaf::Cards, Leaf::Tempo, Leaf::Session];
    let mut ways: Vec<AnyView> = links
        .iter()
        .map(|leaf| way(leaf.path(), leaf.name(), "", true))
        .collect();
    ways.push(way("/", "Cage", "", false));
    view! {
        <nav class="ways" aria-label="With this hitter">
            {ways}
        </nav>
    }
    .into_any()
}
