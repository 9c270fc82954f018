//! Own cards out as a file and in from one. What is read, refused, or stands
//! beside a card that is here is `coaching::card_file`'s rule.

use super::Board;
use crate::device::files;
use crate::parts::{act, group, line, live, refusal, said};
use crate::state::new_card_id;
use crate::words::counted;
use coaching::card_file::{Arrival, MOST_CARDS, read_bytes, write};
use coaching::own_cards::OwnCard;
use leptos::html::Input;
use leptos::prelude::*;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// The name of a file of cards.
const FILE: &str = "drill-cards.json";

/// What a file brought.
#[derive(Clone, Default)]
struct Brought {
    /// What was refused, and why; then nothing was taken.
    refused: Option<String>,
    /// What was taken or is here already, a line each.
    said: Vec<String>,
    /// Cards of which another form is here: the coach decides.
    open: Vec<OwnCard>,
}

/// Sharing and reading.
pub fn view() -> AnyView {
    let board = Board::here();
    let brought = RwSignal::new(Brought::default());
    let input = NodeRef::<Input>::new();
    let read = move |_| {
        let Some(input) = input.get_untracked() else {
            return;
        };
        spawn_local(async move {
            match files::picked(&input).await {
                Ok(Some(bytes)) => take(board, brought, &bytes),
                Ok(None) => {}
                Err(error) => refuse(brought, error),
            }
        });
    };
    let share_all = live(move || {
        let own: Vec<OwnCard> = board
            .own_cards()
            .cards
            .into_iter()
            .map(|k| k.card)
            .collect();
        if own.is_empty() {
            return line("line", "You have no cards of your own to share yet.");
        }
        let label = format!("Share {} as a file", counted(own.len(), "card", "cards"));
        act(
            label,
            "",
            Callback::new(move |()| share(board, own.clone())),
        )
    });
    view! {
        <section class="part" aria-labelledby="card-files">
            <h2 id="card-files">"Share and read cards"</h2>
            {share_all}
            <label>
                <span>"Read a file of cards"</span>
                <input type="file" accept=".json,application/json" node_ref=input on:change=read />
            </label>
            {live(move || shown(board, brought))}
        </section>
    }
    .into_any()
}

/// Hands own cards out as a file.
pub fn share(board: Board, mut cards: Vec<OwnCard>) {
    let notes = board.desk.notes;
    if cards.len() > MOST_CARDS {
        cards.truncate(MOST_CARDS);
        notes.say(
            format!("A file holds up to {MOST_CARDS} cards: the first of them are in it."),
            None,
        );
    }
    spawn_local(async move {
        if let Err(error) = files::hand_out(FILE, write(&cards).as_bytes()).await {
            notes.fail(error, None);
        }
    });
}

fn refuse(brought: RwSignal<Brought>, reason: String) {
    brought.set(Brought {
        refused: Some(reason),
        ..Brought::default()
    });
}

/// Takes what is new, says what is here already, and asks about the others.
fn take(board: Board, brought: RwSignal<Brought>, bytes: &[u8]) {
    let cards = match read_bytes(bytes) {
        Ok(cards) => cards,
        Err(error) => return refuse(brought, error.to_string()),
    };
    let own = untrack(|| board.own_cards());
    let mut result = Brought::default();
    let mut new = Vec::new();
    for card in cards {
        match Arrival::of(&card, own.cards.iter().map(|kept| &kept.card)) {
            Arrival::New => new.push(card),
            Arrival::Same => result.said.push(format!("Here already: {}.", card.title)),
            Arrival::Differs(_) => result.open.push(card),
        }
    }
    if new.is_empty() {
        if result.said.is_empty() && result.open.is_empty() {
            result.said.push("The file holds no cards.".to_owned());
        }
        brought.set(result);
        return;
    }
    let taken = new.iter().map(|card| format!("Taken: {}.", card.title));
    result.said.extend(taken);
    save(board, brought, new, move || brought.set(result.clone()));
}

/// Saves new cards; a note offers to take them out again.
fn save(
    board: Board,
    brought: RwSignal<Brought>,
    cards: Vec<OwnCard>,
    then: impl Fn() + Send + Sync + 'static,
) {
    let own = untrack(|| board.own_cards());
    let desk = board.desk;
    let said = format!("{} taken.", counted(cards.len(), "card", "cards"));
    desk.save_own_cards(&own, &cards, move |records| {
        let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
            desk.set_own_cards_removed(records.clone(), true, move |_| {
                // Gone with the page's part it stands in, it has nothing to say.
                let _ = brought.try_set(Brought::default());
                board.read_own();
            });
        });
        desk.notes.say(said.clone(), Some(("Undo", undo)));
        board.read_own();
        then();
    });
}

fn shown(board: Board, brought: RwSignal<Brought>) -> AnyView {
    let Brought {
        refused,
        said: lines,
        open,
    } = brought.get();
    if let Some(reason) = refused {
        return refusal(reason);
    }
    let mut parts: Vec<AnyView> = lines.into_iter().map(|text| said("line", text)).collect();
    parts.extend(open.into_iter().map(|card| question(board, brought, card)));
    group(parts)
}

/// Another form of a card is here: which one, or both.
fn question(board: Board, brought: RwSignal<Brought>, card: OwnCard) -> AnyView {
    let title = card.title.clone();
    let id = card.id.clone();
    let settle = move |text: String| {
        let id = id.clone();
        brought.update(|brought| {
            brought.open.retain(|open| open.id != id);
            brought.said.push(text);
        });
    };
    let (keep, take, both) = (settle.clone(), settle.clone(), settle);
    let (kept_title, taken, second) = (title.clone(), card.clone(), card);
    let keep = Callback::new(move |()| keep(format!("Kept as it is here: {kept_title}.")));
    let take = Callback::new(move |()| {
        let (take, title) = (take.clone(), taken.title.clone());
        replace(board, &taken, move || {
            take(format!("Taken from the file: {title}."))
        });
    });
    let both = Callback::new(move |()| {
        let copy = OwnCard {
            id: new_card_id(),
            ..second.clone()
        };
        let (both, title) = (both.clone(), copy.title.clone());
        save(board, brought, vec![copy], move || {
            both(format!("Both are kept: {title}."))
        });
    });
    view! {
        <div class="item">
            <p class="item-title" dir="auto">
                {title}
            </p>
            {said("line", "Another form of this card is here. Which one holds?")}
            {act("Keep mine", "", keep)}
            {act("Take the file's (mine stays in the history)", "", take)}
            {act("Keep both", "", both)}
        </div>
    }
    .into_any()
}

/// Writes the file's form over the one here; a note offers the one before.
fn replace(board: Board, card: &OwnCard, then: impl Fn() + Send + Sync + 'static) {
    let own = untrack(|| board.own_cards());
    let before = own.card(&card.id).map(|kept| kept.card.clone());
    let desk = board.desk;
    let title = card.title.clone();
    desk.save_own_cards(&own, std::slice::from_ref(card), move |_| {
        let before = before.clone();
        let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
            let own = untrack(|| board.own_cards());
            let back: Vec<OwnCard> = before.iter().cloned().collect();
            desk.save_own_cards(&own, &back, move |_| board.read_own());
        });
        desk.notes
            .say(format!("{title} is as in the file."), Some(("Undo", undo)));
        board.read_own();
        then();
    });
}
