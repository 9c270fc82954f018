//! The form of an own item: what is typed is kept on the phone as it is typed, until
//! the item is saved or given up. What may be saved is in `coaching::own`.

use super::Page;
use crate::device::settings;
use crate::parts::{act, choice, group, line, live, refusal, selection};
use crate::state::{OwnItems, Then};
use coaching::check::{Phase, View};
use coaching::own::{ItemField, OwnItem};
use coaching::own_file::{read_draft, write_item};
use leptos::prelude::*;
use std::sync::Arc;

/// For both sports.
const BOTH: &str = "both";

/// The texts, with what each is called and what it is for.
const TEXTS: [(ItemField, &str, &str); 4] = [
    (
        ItemField::Title,
        "Title",
        "What a \"yes\" says. Put it so that \"yes\" is good.",
    ),
    (ItemField::Good, "What good looks like", ""),
    (ItemField::Fault, "What the fault looks like", ""),
    (ItemField::How, "How to see it", ""),
];

/// The name under which what is typed is kept.
const FORM: &str = "own-item";

/// The item that was being written when the page was left.
pub fn left() -> Option<OwnItem> {
    read_draft(&settings::typed(FORM)?)
}

/// The item in the form, with every change kept on the phone as it is made.
#[derive(Clone, Copy)]
struct Draft(RwSignal<OwnItem>);

impl Draft {
    fn with<T>(self, with: impl FnOnce(&OwnItem) -> T) -> T {
        self.0.with(with)
    }

    fn write(self, write: impl FnOnce(&mut OwnItem)) {
        self.0.update(write);
        let kept = self.0.with_untracked(write_item);
        settings::set_typed(FORM, Some(&kept));
    }
}

/// The form.
pub fn form() -> AnyView {
    let page = expect_context::<Page>();
    let id = page.editing.get_untracked().unwrap_or_default();
    let known = untrack(|| {
        page.own
            .with(|lists| lists.items.iter().find(|item| item.id == id).cloned())
    });
    let is_new = known.is_none();
    let left = left().filter(|left| left.id == id || (id.is_empty() && is_new));
    let item = left.or(known).unwrap_or_else(|| OwnItem {
        id: OwnItems::new_id(),
        phase: Phase::LaunchPosition,
        skill: page.skill.get_untracked(),
        sport: None,
        title: String::new(),
        view: View::OpenSide,
        good: String::new(),
        fault: String::new(),
        how: String::new(),
    });
    let draft = Draft(RwSignal::new(item));
    let refused = RwSignal::new(String::new());
    let close: Then = Arc::new(move || {
        settings::set_typed(FORM, None);
        page.editing.try_set(None);
    });
    let saved = close.clone();
    let save = Callback::new(move |()| match draft.0.get_untracked().checked() {
        Ok(checked) => {
            let told = if is_new { "Added" } else { "Changed" };
            let told = format!("{told}: {}.", checked.title);
            page.own.keep(&checked, told, saved.clone());
        }
        Err(error) => refused.set(error.to_string()),
    });
    let leave = Callback::new(move |()| {
        let kept = settings::typed(FORM);
        close();
        if let Some(kept) = kept {
            offer_back(page, draft.0.get_untracked().id, kept);
        }
    });
    let mut parts = vec![
        line(
            "line",
            "What you write is kept on this phone as you type. It is asked once you save it.",
        ),
        place(page, draft, is_new),
    ];
    parts.extend(TEXTS.map(|(field, label, about)| text(draft, field, label, about)));
    parts.push(live(move || refusal(refused.get())));
    parts.push(act("Save the item", "main-act", save));
    parts.push(act("Leave it as it was", "wide", leave));
    view! { <div class="hitter-form">{parts}</div> }.into_any()
}

/// A note that offers to open the form again as it stood.
fn offer_back(page: Page, id: String, kept: String) {
    let back: Then = Arc::new(move || {
        settings::set_typed(FORM, Some(&kept));
        page.editing.try_set(Some(id.clone()));
    });
    let said = "The form is closed, and nothing was saved.";
    page.desk.notes.say(said, Some(("Undo", back)));
}

/// Phase, sport and view. The phase of an item that was asked already stays: its id
/// never changes meaning.
fn place(page: Page, item: Draft, is_new: bool) -> AnyView {
    let skill = item.0.with_untracked(|item| item.skill);
    let phases = if is_new {
        let names = Phase::ALL.iter();
        choice(
            "Phase",
            names
                .map(|phase| (phase.id(), skill.phase_name(*phase)))
                .collect(),
            Signal::derive(move || item.with(|item| item.phase.id())),
            Callback::new(move |id: &'static str| {
                if let Some(phase) = Phase::from_id(id) {
                    item.write(|item| item.phase = phase);
                }
            }),
        )
    } else {
        let phase = item.0.with_untracked(|item| item.phase);
        group(vec![
            line("line", format!("Phase: {}.", skill.phase_name(phase))),
            line(
                "line",
                "Make the words clearer. Should it mean something else, add another item and hide this one: the answers of before belong to what it meant.",
            ),
        ])
    };
    let sport = page.sport.get_untracked();
    let sports = choice(
        "For",
        vec![(BOTH, "Both sports"), (sport.id(), sport.name())],
        Signal::derive(move || item.with(|item| item.sport.map_or(BOTH, |sport| sport.id()))),
        Callback::new(move |id: &'static str| {
            let sport = coaching::vocabulary::Sport::from_id(id);
            item.write(|item| item.sport = sport);
        }),
    );
    let views = selection(
        "Look from",
        false,
        Signal::stored(crate::parts::options_of(View::ALL, |view| {
            (view.id(), view.name())
        })),
        Signal::derive(move || item.with(|item| item.view.id().to_owned())),
        Callback::new(move |id: String| {
            if let Some(view) = View::from_id(&id) {
                item.write(|item| item.view = view);
            }
        }),
    );
    let caution = live(move || line("line caution", item.with(|item| item.view.caution())));
    group(vec![phases, sports, views, caution])
}

fn text(item: Draft, field: ItemField, label: &'static str, about: &'static str) -> AnyView {
    let (least, most) = field.range();
    let range = format!("{about} {least} to {most} characters.");
    let value = item.0.with_untracked(|item| of(item, field).to_owned());
    view! {
        <label>
            {label} <textarea
                rows="2"
                dir="auto"
                prop:value=value
                on:input=move |event| {
                    let typed = event_target_value(&event);
                    item.write(|item| *of_mut(item, field) = typed);
                }
            ></textarea>
            <small>{range}</small>
        </label>
    }
    .into_any()
}

fn of(item: &OwnItem, field: ItemField) -> &str {
    match field {
        ItemField::Title => &item.title,
        ItemField::Good => &item.good,
        ItemField::Fault => &item.fault,
        ItemField::How => &item.how,
    }
}

fn of_mut(item: &mut OwnItem, field: ItemField) -> &mut String {
    match field {
        ItemField::Title => &mut item.title,
        ItemField::Good => &mut item.good,
        ItemField::Fault => &mut item.fault,
        ItemField::How => &mut item.how,
    }
}
