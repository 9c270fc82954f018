//! Drill cards: which answer what was found, and all of them; the coach's own.
//! What answers what, and in which order, is `coaching`'s rule.

mod all;
mod card;
mod file;
mod form;
mod found;
mod outcomes;

use crate::device::settings;
use crate::parts::{CARD, group, line, live};
use crate::state::{Desk, Found, Joins, OfSkill, OwnCards, OwnItems, sport_of};
use coaching::cards::{self, AnyCard, Card, Equipment};
use coaching::own_cards::Draft;
use coaching::vocabulary::{Side, Sport};
use leptos::prelude::*;
use leptos_router::hooks::use_query_map;
use notebook::RecordId;
use wasm_bindgen_futures::spawn_local;

/// The page.
pub fn page() -> AnyView {
    let board = Board::open();
    provide_context(board);
    let is_writing = Memo::new(move |_| board.draft.with(Option::is_some));
    live(move || {
        if is_writing.get() {
            form::view()
        } else {
            let asked_for = board.asked_for.map(|card| one(board, card));
            group(vec![
                asked_for.into_any(),
                found::view(),
                all::view(),
                file::view(),
            ])
        }
    })
}

/// The card that the address names, opened above all else.
fn one(board: Board, card: &'static Card) -> AnyView {
    let card_of = AnyCard::BuiltIn(card);
    view! {
        <section class="part" aria-labelledby="asked-for">
            <h2 id="asked-for">{card.title}</h2>
            {line("line", card::facts(card_of))}
            {card::opening(board, ASKED_FOR, card_of)}
        </section>
    }
    .into_any()
}

/// Where on the page the card stands that the address names.
const ASKED_FOR: &str = "asked-for";

/// What was read, or why it could not be; none while it is being read.
type ReadOf<T> = RwSignal<Option<Result<T, String>>>;

/// What the parts of this page share.
#[derive(Clone, Copy)]
struct Board {
    desk: Desk,
    joins: Joins,
    /// The coach's own items and order.
    items: OwnItems,
    /// What the looks found and what came of cards.
    found: ReadOf<Found>,
    /// The coach's own cards.
    own: ReadOf<OwnCards>,
    /// The equipment at hand.
    at_hand: RwSignal<Vec<Equipment>>,
    /// Minutes left, as the id of a choice. Not kept: tomorrow it is another.
    minutes: RwSignal<&'static str>,
    /// The card shown in full: where on the page, and its id.
    opened: RwSignal<Option<String>>,
    /// The card that the address names.
    asked_for: Option<&'static Card>,
    /// What is searched for.
    typed: RwSignal<String>,
    /// The card that is being written.
    draft: RwSignal<Option<Draft>>,
}

impl Board {
    fn here() -> Self {
        expect_context()
    }

    /// The board, empty, with everything on its way.
    fn open() -> Self {
        let at_hand = settings::equipment_at_hand().map_or(Equipment::ALL.to_vec(), |ids| {
            ids.split(' ').filter_map(Equipment::from_id).collect()
        });
        let asked_for = use_query_map().with_untracked(|asked| cards::card(&asked.get(CARD)?));
        let opened = asked_for.map(|card| format!("{ASKED_FOR} {}", card.id));
        let draft = settings::card_draft().and_then(|kept| Draft::from_kept(&kept));
        let board = Self {
            desk: expect_context(),
            joins: expect_context(),
            items: expect_context(),
            found: RwSignal::new(None),
            own: RwSignal::new(None),
            at_hand: RwSignal::new(at_hand),
            minutes: RwSignal::new(found::NO_LIMIT),
            opened: RwSignal::new(opened),
            asked_for,
            typed: RwSignal::new(String::new()),
            draft: RwSignal::new(draft),
        };
        // Also when another tab or phone has written: the desk reads again then.
        Effect::new(move |_| {
            board.desk.hitters.track();
            board.read_own();
        });
        Effect::new(move |_| {
            board.desk.sheet.track();
            board.read_found();
        });
        board
    }

    /// The hitter at work and the side of the plate. Tracks both.
    fn at_work(self) -> Option<(RecordId, Side)> {
        let hitter = self.desk.hitter()?;
        Some((hitter.head.id, self.desk.side_now(&hitter)))
    }

    /// What `with` makes of each skill that was looked at, beside the coach's lists.
    /// Tracks the lists and the hitter's sport.
    fn with_skills<T>(self, found: &Found, with: impl FnOnce(&[OfSkill]) -> T) -> T {
        let hitter = self.desk.hitter();
        let sport = hitter.map_or(Sport::Baseball, |hitter| sport_of(&hitter));
        self.items.with(|lists| with(&found.skills(lists, sport)))
    }

    /// Id and title of each item whose fault cards should answer, the first to work
    /// on first.
    fn faults(self, found: &Found) -> Vec<(String, String)> {
        self.with_skills(found, |skills| {
            skills.iter().flat_map(OfSkill::faults).collect()
        })
    }

    /// The title of an item, built-in or own.
    fn title_of(self, item: &str) -> String {
        self.items.with(|lists| lists.title(item).to_owned())
    }

    /// Reads what was found, and leaves what is shown until then. Tracks the
    /// hitter and who is joined.
    fn read_found(self) {
        let Some(at_work) = self.at_work() else {
            self.found.set(None);
            return;
        };
        let records = self.joins.records_of(at_work.0);
        spawn_local(async move {
            let read = self.desk.found(&records, at_work.1).await;
            if self.found.is_disposed() {
                return;
            }
            // Another hitter may have been chosen meanwhile.
            if untrack(|| self.at_work()) == Some(at_work) {
                self.found
                    .set(Some(read.map_err(|error| error.to_string())));
            }
        });
    }

    fn read_own(self) {
        spawn_local(async move {
            let read = self.desk.own_cards().await;
            self.own.set(Some(read.map_err(|error| error.to_string())));
        });
    }

    /// The own cards, as far as they are read; none once the page is left, which
    /// a note's "Undo" may outlive. Tracks them.
    fn own_cards(self) -> OwnCards {
        let read = self
            .own
            .try_with(|own| own.as_ref().and_then(|own| own.as_ref().ok()).cloned());
        read.flatten().unwrap_or_default()
    }

    /// What `show` makes of the card of an id; of nothing when it is gone.
    fn with_card(self, id: &str, show: impl FnOnce(AnyCard) -> AnyView) -> AnyView {
        if let Some(card) = cards::card(id) {
            return show(AnyCard::BuiltIn(card));
        }
        let own = untrack(|| self.own_cards());
        match own.card(id) {
            Some(kept) => show(AnyCard::Own(&kept.card)),
            None => ().into_any(),
        }
    }

    /// Writes into the form, and keeps what stands there.
    fn write(self, write: impl FnOnce(&mut Draft)) {
        self.draft.update(|draft| {
            if let Some(draft) = draft {
                write(draft);
                settings::set_card_draft(Some(&draft.kept()));
            }
        });
    }

    /// Opens the form with a draft, or closes it.
    fn show_form(self, draft: Option<Draft>) {
        settings::set_card_draft(draft.as_ref().map(Draft::kept).as_deref());
        self.draft.set(draft);
    }
}
