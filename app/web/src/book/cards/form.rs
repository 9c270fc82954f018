//! Writing an own card: a form over the whole page. Every field is kept on the
//! phone as it is typed; its limits are `coaching::own_cards`'s.

use super::Board;
use crate::parts::{act, choice, group, heading, line, live, option_of, options_of, said, toggles};
use crate::state::new_card_id;
use coaching::cards::{Component, Effort, Equipment};
use coaching::check::{Phase, Skill, View};
use coaching::own_cards::{CardError, CardField, Draft};
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use std::sync::Arc;

/// The form.
pub fn view() -> AnyView {
    let board = Board::here();
    let is_new = untrack(|| {
        let draft = board.draft.get();
        draft.is_some_and(|draft| draft.get(CardField::Id).is_empty())
    });
    let title = if is_new {
        "A card of your own"
    } else {
        "Edit your card"
    };
    let refused = RwSignal::new(None::<CardError>);
    let save = Callback::new(move |()| save(board, refused));
    let give_up = Callback::new(move |()| give_up(board));
    view! {
        <section class="part card-form" aria-labelledby="card-form">
            <h2 id="card-form">{title}</h2>
            {line("line", "What you write is kept on this phone as you type. It becomes a card when you save it.")}
            {text(board, CardField::Title, 1)}
            {text(board, CardField::Purpose, 2)}
            {heading("What it answers")}
            {line("line", "Choose at least one item. A card is suggested when that item is not yet.")}
            {items(board)}
            {faults(board)}
            {heading("What it needs")}
            {several("Where the ball comes from", CardField::Environments, options_of(Environment::ALL, |e| (e.id(), e.name())))}
            {several("Equipment", CardField::Equipment, options_of(Equipment::ALL, |e| (e.id(), e.name())))}
            {line("line", "What the ball's place needs, and its cautions, are added by themselves.")}
            {text(board, CardField::Caution, 3)}
            {text(board, CardField::Space, 1)}
            {text(board, CardField::Minutes, 1)}
            {heading("What to do")}
            {text(board, CardField::Steps, 5)}
            {text(board, CardField::Feel, 1)}
            {one("From where to watch", CardField::View, View::ALL.iter().map(|v| (v.id(), v.name())).collect())}
            {text(board, CardField::Watch, 2)}
            {text(board, CardField::Sets, 1)}
            {text(board, CardField::Reps, 1)}
            {one("Effort", CardField::Effort, Effort::ALL.iter().map(|e| (e.id(), e.name())).collect())}
            {text(board, CardField::Easier, 2)}
            {text(board, CardField::Harder, 2)}
            {several("What it does not train", CardField::NotTrained, options_of(Component::ALL, |c| (c.id(), c.name())))}
            {live(move || match refused.get() {
                Some(error) => said("refusal", format!("Not saved. {}", to_mend(error))),
                None => ().into_any(),
            })}
            {act("Save this card", "main-act", save)}
            {act("Close without saving", "wide", give_up)}
        </section>
    }
    .into_any()
}

/// Why a field is refused, as a form says it: it keeps what is typed, and nothing
/// from before comes back.
fn to_mend(error: CardError) -> String {
    let said = error.to_string();
    said.replace(
        "What was there before is kept.",
        "It stands in the form to be mended.",
    )
}

/// The id of a field's element.
fn element_id(field: CardField) -> String {
    format!("card-{}", field as usize)
}

/// A field of text or of a number: its label with its range, and why it cannot
/// stay as it is, said when it is left.
fn text(board: Board, field: CardField, rows: u8) -> AnyView {
    let refused = RwSignal::new(String::new());
    let value = move || {
        board
            .draft
            .with(|draft| draft.as_ref().map(|draft| draft.get(field).to_owned()))
            .unwrap_or_default()
    };
    let write = move |typed: String| board.write(|draft| draft.set(field, &typed));
    let check = move || {
        let checked = board
            .draft
            .with_untracked(|draft| draft.as_ref().map_or(Ok(()), |draft| draft.check(field)));
        refused.set(checked.err().map_or(String::new(), to_mend));
    };
    let id = element_id(field);
    let refusal_id = format!("{id}-refusal");
    let (least, most) = field.range();
    let hint = match field {
        CardField::Minutes | CardField::Sets | CardField::Reps => format!("{least} to {most}"),
        CardField::Steps => format!("one a line, {least} to {most}"),
        _ => format!("{least} to {most} characters"),
    };
    let number = matches!(
        field,
        CardField::Minutes | CardField::Sets | CardField::Reps
    );
    let area = if rows > 1 {
        view! {
            <textarea
                id=id.clone()
                dir="auto"
                rows=rows.to_string()
                prop:value=value
                aria-describedby=refusal_id.clone()
                aria-invalid=move || refused.with(|said| !said.is_empty()).to_string()
                on:input=move |event| write(event_target_value(&event))
                on:change=move |_| check()
            ></textarea>
        }
        .into_any()
    } else {
        view! {
            <input
                id=id.clone()
                type="text"
                dir="auto"
                inputmode=if number { "numeric" } else { "text" }
                autocomplete="off"
                prop:value=value
                aria-describedby=refusal_id.clone()
                aria-invalid=move || refused.with(|said| !said.is_empty()).to_string()
                on:input=move |event| write(event_target_value(&event))
                on:change=move |_| check()
            />
        }
        .into_any()
    };
    view! {
        <div class="card-field">
            <label for=id>{field.to_string()} " " <small>{hint}</small></label>
            {area}
            <p id=refusal_id class="refusal" role="status">
                {move || refused.get()}
            </p>
        </div>
    }
    .into_any()
}

/// Several of a list.
fn several(label: &'static str, field: CardField, options: Vec<(String, String)>) -> AnyView {
    let board = Board::here();
    let holds = Callback::new(move |id: String| {
        board.draft.with(|draft| {
            let entries = draft.as_ref().map(|draft| draft.entries(field));
            entries.is_some_and(|entries| entries.contains(&id.as_str()))
        })
    });
    let touch = Callback::new(move |id: String| board.write(|draft| draft.toggle(field, &id)));
    toggles(label, options, holds, touch)
}

/// One of a list.
fn one(
    label: &'static str,
    field: CardField,
    options: Vec<(&'static str, &'static str)>,
) -> AnyView {
    let board = Board::here();
    let ids: Vec<&'static str> = options.iter().map(|option| option.0).collect();
    let chosen = Signal::derive(move || {
        board.draft.with(|draft| {
            let id = draft.as_ref().map_or("", |draft| draft.get(field));
            ids.iter().copied().find(|known| *known == id).unwrap_or("")
        })
    });
    let choose = Callback::new(move |id: &'static str| board.write(|draft| draft.set(field, id)));
    choice(label, options, chosen, choose)
}

/// The items of every phase, to touch: the built-in ones, then the coach's own,
/// hidden or not. What is open stays open while own items are read.
fn items(board: Board) -> AnyView {
    let mut folds = Vec::new();
    for skill in Skill::ALL {
        for phase in Phase::ALL {
            folds.push(of_phase(board, *skill, *phase));
        }
    }
    group(folds)
}

fn of_phase(board: Board, skill: Skill, phase: Phase) -> AnyView {
    let options = Memo::new(move |_| {
        let built_in = skill.items().iter().filter(|item| item.phase == phase);
        let built_in = built_in.map(|item| option_of(item.id, item.title));
        board.items.with(|lists| {
            let own = lists.items.iter();
            let own = own.filter(|item| item.skill == skill && item.phase == phase);
            let own = own.map(|item| (item.id.clone(), item.title.clone()));
            built_in.chain(own).collect::<Vec<_>>()
        })
    });
    let chosen = move || {
        let n = board.draft.with(|draft| {
            let held = draft
                .as_ref()
                .map(|draft| draft.entries(CardField::Answers));
            let is_here =
                |id: &&str| options.with(|options| options.iter().any(|option| option.0 == **id));
            held.map_or(0, |held| held.into_iter().filter(|id| is_here(id)).count())
        });
        match n {
            0 => String::new(),
            n => format!(", {n} chosen"),
        }
    };
    let name = format!("{}: {}", skill.name(), skill.phase_name(phase));
    let buttons = move || several(skill.phase_name(phase), CardField::Answers, options.get());
    view! {
        <details>
            <summary>{name} {chosen}</summary>
            {live(buttons)}
        </details>
    }
    .into_any()
}

/// The fault of each item that was chosen.
fn faults(board: Board) -> AnyView {
    let chosen = Memo::new(move |_| {
        board.draft.with(|draft| {
            let items = draft
                .as_ref()
                .map(|draft| draft.entries(CardField::Answers));
            let items = items.unwrap_or_default().into_iter();
            items.map(str::to_owned).collect::<Vec<_>>()
        })
    });
    live(move || {
        group(
            chosen
                .get()
                .into_iter()
                .map(|id| fault(board, id))
                .collect(),
        )
    })
}

fn fault(board: Board, id: String) -> AnyView {
    let title = untrack(|| board.title_of(&id));
    let stands = untrack(|| board.draft.get())
        .and_then(|draft| {
            let answers = draft.answers().into_iter();
            let mine = answers.filter(|(item, _)| *item == id.as_str());
            mine.map(|(_, fault)| fault.to_owned()).next()
        })
        .unwrap_or_default();
    let write = move |typed: String| board.write(|draft| draft.set_fault(&id, &typed));
    let (least, most) = CardField::AnswersFault.range();
    view! {
        <label>
            <span>
                "Fault of: " {title} " " <small>{format!("{least} to {most} characters")}</small>
            </span>
            <input
                type="text"
                dir="auto"
                autocomplete="off"
                value=stands
                on:input=move |event| write(event_target_value(&event))
            />
        </label>
    }
    .into_any()
}

/// Saves the card, or says which field is in the way and goes there.
fn save(board: Board, refused: RwSignal<Option<CardError>>) {
    let Some(draft) = untrack(|| board.draft.get()) else {
        return;
    };
    let id = match draft.get(CardField::Id) {
        "" => new_card_id(),
        id => id.to_owned(),
    };
    match draft.card(&id) {
        Err(error) => {
            refused.set(Some(error));
            let field = match error.field() {
                CardField::Step => CardField::Steps,
                field => field,
            };
            if let Some(element) = document().get_element_by_id(&element_id(field)) {
                let element: web_sys::HtmlElement = wasm_bindgen::JsCast::unchecked_into(element);
                // What cannot take the focus leaves it where it is.
                let _ = element.focus();
            }
        }
        Ok(card) => {
            refused.set(None);
            // A second touch before the first is on disk writes the same card
            // again.
            board.write(|draft| draft.set(CardField::Id, &id));
            let own = untrack(|| board.own_cards());
            let desk = board.desk;
            let title = card.title.clone();
            desk.save_own_cards(&own, &[card], move |_| {
                board.show_form(None);
                board.read_own();
                board.opened.set(Some(format!("all {id}")));
                desk.notes.say(format!("{title} is saved."), None);
            });
        }
    }
}

/// Closes the form; a note offers to open it again as it stood.
fn give_up(board: Board) {
    let draft = untrack(|| board.draft.get());
    board.show_form(None);
    let Some(draft) = draft.filter(|draft| *draft != Draft::new()) else {
        return;
    };
    let back: Arc<dyn Fn() + Send + Sync> = Arc::new(move || board.show_form(Some(draft.clone())));
    board.desk.notes.say(
        "The form is closed, and nothing was saved.",
        Some(("Undo", back)),
    );
}
