//! The coach's own check items, and the order of all: hide, move, write, take back.
//! What an item may be and how lists merge is in `coaching`.

mod form;

use crate::parts::{Leaf, act, act_spoken, choice, group, heading, line, live, refusal, said, way};
use crate::state::{Desk, OwnItems};
use crate::words::counted;
use coaching::check::{Phase, Skill};
use coaching::checklist::{Arrangement, CheckList, OF_A_NEWER_VERSION};
use coaching::own::ListedItem;
use coaching::vocabulary::Sport;
use leptos::prelude::*;

/// What the parts of this page share.
#[derive(Clone, Copy)]
struct Page {
    desk: Desk,
    own: OwnItems,
    skill: RwSignal<Skill>,
    sport: RwSignal<Sport>,
    /// The id of the item in the form; empty for a new one.
    editing: RwSignal<Option<String>>,
}

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let hitter = untrack(|| desk.hitter());
    let sport = hitter.and_then(|hitter| Sport::from_id(hitter.sport.get().as_str()));
    let left = form::left();
    let skill = left.as_ref().map_or(Skill::Swing, |left| left.skill);
    let page = Page {
        desk,
        own: expect_context(),
        skill: RwSignal::new(skill),
        sport: RwSignal::new(sport.unwrap_or(Sport::Baseball)),
        editing: RwSignal::new(left.map(|left| left.id)),
    };
    provide_context(page);
    let sports = choice(
        "Sport",
        Sport::ALL
            .iter()
            .map(|sport| (sport.id(), sport.name()))
            .collect(),
        Signal::derive(move || page.sport.get().id()),
        Callback::new(move |id: &'static str| {
            if let Some(sport) = Sport::from_id(id) {
                page.sport.set(sport);
                if !page.skill.get_untracked().is_of(sport) {
                    page.skill.set(Skill::Swing);
                }
            }
        }),
    );
    let skills = live(move || {
        let sport = page.sport.get();
        let known = Skill::ALL.iter().filter(|skill| skill.is_of(sport));
        choice(
            "Skill",
            known.map(|skill| (skill.id(), skill.name())).collect(),
            Signal::derive(move || page.skill.get().id()),
            Callback::new(move |id: &'static str| {
                if let Some(skill) = Skill::from_id(id) {
                    page.skill.set(skill);
                }
            }),
        )
    });
    group(vec![
        view! { <h2>"Yours and the built-in ones"</h2> }.into_any(),
        line(
            "line",
            "The phases keep their order: each can only be judged when the ones before it are good. Within a phase the order is yours.",
        ),
        sports,
        skills,
        live(body),
        way(Leaf::Check.path(), "To the swing check", "", true),
    ])
}

fn body() -> AnyView {
    let page = expect_context::<Page>();
    if page.editing.with(Option::is_some) {
        // Not made anew when another phone's items come in: what is typed stays.
        let is_read = Memo::new(move |_| page.own.lists.with(Option::is_some));
        return live(move || match is_read.get() {
            true => form::form(),
            false => said("line", "Reading…"),
        });
    }
    live(lists)
}

fn lists() -> AnyView {
    let page = expect_context::<Page>();
    match page.own.lists.get() {
        None => return said("line", "Reading…"),
        Some(Err(error)) => return refusal(error.to_string()),
        Some(Ok(_)) => {}
    }
    let (skill, sport) = (page.skill.get(), page.sport.get());
    page.own.with(|lists| {
        let list = lists.list(skill, sport);
        let mut parts = vec![act(
            "Add an item",
            "main-act",
            Callback::new(move |()| page.editing.set(Some(String::new()))),
        )];
        for phase in Phase::ALL {
            parts.push(heading(skill.phase_name(*phase)));
            if list.not_hidden.contains(phase) {
                parts.push(line(
                    "line caution",
                    "Everything here was hidden. A phase cannot be empty, so it is asked all the same.",
                ));
            }
            let shown: Vec<&ListedItem> = list.phase(*phase).map(|(_, item)| item).collect();
            let n = shown.len();
            for (place, item) in shown.into_iter().enumerate() {
                parts.push(one(page, item, place > 0, place + 1 < n, list.may_hide(item.id)));
            }
            for item in list.hidden.iter().filter(|item| item.phase == *phase) {
                parts.push(hidden(page, item));
            }
        }
        if !list.newer.is_empty() {
            let n = counted(list.newer.len(), "time", "times");
            parts.push(line(
                "line",
                format!("{OF_A_NEWER_VERSION}: {n} in your order. Kept as it is, and not asked here."),
            ));
        }
        if lists.not_read > 0 {
            let n = counted(lists.not_read, "entry", "entries");
            parts.push(line(
                "line",
                format!("{n} of a newer version cannot be read here. Left as found."),
            ));
        }
        parts.push(usual_order(page));
        group(parts)
    })
}

fn usual_order(page: Page) -> AnyView {
    let usual = Callback::new(move |()| {
        page.own.arrange(
            &Arrangement::default(),
            "Back to the usual order, nothing hidden.".to_owned(),
        );
    });
    act("Back to the usual order", "wide", usual)
}

/// Keeps what `with` makes of the order, given the list shown.
fn arrange(page: Page, told: String, with: impl FnOnce(&Arrangement, &CheckList) -> Arrangement) {
    let (skill, sport) = (page.skill.get_untracked(), page.sport.get_untracked());
    let changed = untrack(|| {
        page.own
            .with(|lists| with(&lists.arrangement, &lists.list(skill, sport)))
    });
    page.own.arrange(&changed, told);
}

fn button(label: &str, title: &str, deed: Callback<()>) -> AnyView {
    let spoken = Signal::stored(format!("{label}: {title}"));
    act_spoken(Signal::stored(label.to_owned()), spoken, "", None, deed)
}

fn one(page: Page, item: &ListedItem, may_up: bool, may_down: bool, may_hide: bool) -> AnyView {
    let (id, title) = (item.id.to_owned(), item.title.to_owned());
    let mut buttons = Vec::new();
    for (may, label, up) in [(may_up, "Up", true), (may_down, "Down", false)] {
        let (id, moved) = (id.clone(), title.clone());
        let deed = Callback::new(move |()| {
            arrange(page, format!("Moved: {moved}."), |order, list| {
                order.moved(list, &id, up)
            });
        });
        if may {
            buttons.push(button(label, &title, deed));
        }
    }
    if may_hide {
        buttons.push(hide(page, id.clone(), &title, true));
    }
    if item.is_own() {
        let edited = id.clone();
        let edit = Callback::new(move |()| page.editing.set(Some(edited.clone())));
        buttons.push(button("Edit", &title, edit));
        let remove = Callback::new(move |()| page.own.remove(&id));
        buttons.push(button("Remove", &title, remove));
    }
    let own = if item.is_own() { "Your own. " } else { "" };
    view! {
        <div class="item">
            <p class="item-title">{title}</p>
            {line("line", format!("{own}{}", item.good))}
            <div class="choice-row">{buttons}</div>
        </div>
    }
    .into_any()
}

fn hide(page: Page, id: String, title: &str, hidden: bool) -> AnyView {
    let told = if hidden { "Hidden" } else { "Asked again" };
    let told = format!("{told}: {title}.");
    let label = if hidden { "Hide" } else { "Ask again" };
    let deed = Callback::new(move |()| {
        arrange(page, told.clone(), |order, _| {
            order.with_hidden(&id, hidden)
        });
    });
    button(label, title, deed)
}

fn hidden(page: Page, item: &ListedItem) -> AnyView {
    let title = item.title.to_owned();
    let again = hide(page, item.id.to_owned(), &title, false);
    view! {
        <div class="item">
            <p class="line">"Hidden: " {title}</p>
            <div class="choice-row">{again}</div>
        </div>
    }
    .into_any()
}
