//! One hitter's page: where the work is, what was tried, what changed, the sets
//! of late, and what is kept.

mod changed;
mod facts;
mod finding;
mod hits;
mod sets;
mod tried;

use crate::device::page::painted;
use crate::parts::{Leaf, Part, act, fold, group, line, live, one_by_one, refusal, said, way};
use crate::roster;
use crate::state::{Desk, Joins, LooksAhead, OneLook, OwnItems, Profile, sport_of};
use coaching::vocabulary::Sport;
use finding::{OfSide, by_side};
use leptos::prelude::*;
use notebook::RecordId;
use wasm_bindgen_futures::spawn_local;

/// What was read, or why it could not be; none while it is being read.
type ReadOf<T> = RwSignal<Option<Result<T, String>>>;

/// What the parts of the page share.
#[derive(Clone, Copy)]
struct Page {
    desk: Desk,
    own: OwnItems,
    ahead: LooksAhead,
    sport: Memo<Sport>,
    /// Whose looks, and the looks.
    looks: ReadOf<(RecordId, Vec<OneLook>)>,
    /// Cards and sets of late.
    rest: ReadOf<Profile>,
    /// Raised to read again.
    again: RwSignal<u32>,
}

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let page = Page {
        desk,
        sport: Memo::new(move |_| {
            desk.hitter()
                .map_or(Sport::Baseball, |hitter| sport_of(&hitter))
        }),
        own: expect_context(),
        ahead: expect_context(),
        looks: RwSignal::new(None),
        rest: RwSignal::new(None),
        again: RwSignal::new(0),
    };
    let joins = expect_context::<Joins>();
    // By the ids alone: a fact that is changed must not close what is open.
    let chosen = Memo::new(move |_| desk.hitter().map(|hitter| hitter.head.id));
    let records = Memo::new(move |_| chosen.get().map(|id| joins.records_of(id)));
    Effect::new(move |_| {
        page.again.track();
        // Also when another tab or phone has written: the desk reads again then.
        desk.hitters.track();
        if let Some(records) = records.get() {
            spawn_local(page.read(records));
        }
    });
    live(move || match chosen.get() {
        None => nobody(),
        Some(id) => whole(page, id),
    })
}

impl Page {
    /// Reads what the finding stands on, and once that is shown the rest.
    async fn read(self, records: Vec<RecordId>) {
        let id = records[0];
        let looks = self.ahead.take(&records).await;
        let looks = looks.map(|looks| (id, looks));
        if self.shows(id) {
            show(self.looks, looks.map_err(|error| error.to_string()));
            painted().await;
        }
        if self.shows(id) {
            let rest = self.desk.profile(&records).await;
            if self.shows(id) {
                show(self.rest, rest.map_err(|error| error.to_string()));
            }
        }
        self.desk.follow(id);
    }

    /// Whether this page is still there, and about this hitter.
    fn shows(self, id: RecordId) -> bool {
        !self.looks.is_disposed() && self.desk.chosen.get_untracked() == Some(id)
    }
}

/// Shows what was read, unless it is shown already: a page that changes under the
/// finger is a nuisance.
fn show<T: PartialEq + Send + Sync + 'static>(read: ReadOf<T>, now: Result<T, String>) {
    let now = Some(now);
    if read.with_untracked(|shown| *shown != now) {
        read.set(now);
    }
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

fn whole(page: Page, id: RecordId) -> AnyView {
    // What is not the finding is made once that is painted.
    let is_read = Memo::new(move |_| {
        page.looks.with(|looks| match looks {
            Some(Ok((whose, _))) => *whose == id,
            Some(Err(_)) => true,
            None => false,
        })
    });
    group(vec![
        live(facts::heading),
        live(move || match page.looks.get() {
            Some(Ok((whose, looks))) if whose == id => of_looks(page, &looks),
            Some(Err(reason)) => not_read(page, reason),
            _ => said("state", "Reading…"),
        }),
        live(move || match page.rest.get() {
            Some(Ok(profile)) if profile.hitter == id => group(vec![
                tried::what_was_tried(&profile),
                sets::counts_of_late(&profile),
            ]),
            Some(Err(reason)) => not_read(page, reason),
            _ => ().into_any(),
        }),
        live(move || match is_read.get() {
            true => one_by_one(
                0,
                vec![
                    Box::new(move || group(vec![hits::hits(id), links()])),
                    Box::new(move || live(move || facts::kept(id))),
                    Box::new(|| fold("Change what is kept", change)),
                ],
            ),
            false => group(vec![]),
        }),
    ])
}

fn not_read(page: Page, reason: String) -> AnyView {
    let again = Callback::new(move |()| page.again.update(|again| *again += 1));
    group(vec![refusal(reason), act("Read again", "", again)])
}

fn of_looks(page: Page, looks: &[OneLook]) -> AnyView {
    if let Some(reading) = own_lists_missing(page.own) {
        return reading;
    }
    let sport = page.sport.get();
    let part = move |part: fn(&[OfSide]) -> AnyView, looks: &[OneLook]| {
        page.own.with(|lists| part(&by_side(lists, sport, looks)))
    };
    let found = part(finding::where_the_work_is, looks);
    let looks = looks.to_vec();
    let then: Part = Box::new(move || untrack(|| part(changed::what_changed, &looks)));
    group(vec![found, one_by_one(0, vec![then])])
}

/// What to show while the coach's own lists, which findings stand on, are not read.
fn own_lists_missing(own: OwnItems) -> Option<AnyView> {
    own.lists.with(|lists| match lists {
        None => Some(said("state", "Reading…")),
        Some(Err(error)) => Some(refusal(error.to_string())),
        Some(Ok(_)) => None,
    })
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
