//! Who is hitting: pick, add, edit, remove.

use crate::parts::{
    Leaf, Place, act, act_spoken, after_paint, choice, options_of, panel, selection, way,
};
use crate::state::{Desk, NewHitter, is_archived};
use crate::words::{counted, lower_case};
use coaching::vocabulary::{Bats, Side};
use flight::{LEVELS, Level};
use leptos::html::Input;
use leptos::prelude::*;
use notebook::{Hitter, RecordId};

/// A long list is shown in parts of so many.
const SHOWN_AT_ONCE: usize = 20;
/// As many fill a phone's screen; the others follow once these are painted.
const FIRST_SHOWN: usize = 8;

/// The hitter at work, and the whole list when opened.
#[component]
pub fn HittersPanel() -> impl IntoView {
    panel(Place::Hitters, "Hitter", None, summary, detail)
}

fn summary() -> AnyView {
    let desk = expect_context::<Desk>();
    let open_list = Place::Hitters.open();
    let open_settings = Place::Settings.open();
    let shown = move || match desk.hitter() {
        Some(hitter) => view! {
            <bdi class="name">
                {hitter.name.get().clone()}
            </bdi>
            <span class="facts">{facts(&hitter)}</span>
            <span class="unseen">"Change the hitter"</span>
        }
        .into_any(),
        None => view! { <span class="name">"Add a hitter"</span> }.into_any(),
    };
    view! {
        <div class="hitter-bar">
            <button
                type="button"
                class="hitter-now"
                on:click=move |_| open_list()
            >
                {shown}
            </button>
            {act("Settings", "quiet", Callback::new(move |()| open_settings()))}
        </div>
    }
    .into_any()
}

fn detail() -> AnyView {
    let desk = expect_context::<Desk>();
    let searched = RwSignal::new(String::new());
    let shown_most = RwSignal::new(SHOWN_AT_ONCE);
    let painted = RwSignal::new(false);
    after_paint(move || {
        let _ = painted.try_set(true);
    });
    let found = move || {
        let wanted = lower_case(searched.get().trim());
        desk.hitters.with(|all| {
            let matching = all.iter().filter(|hitter| {
                !is_archived(hitter) && lower_case(hitter.name.get()).contains(&wanted)
            });
            matching.take(shown_most.get()).cloned().collect::<Vec<_>>()
        })
    };
    let rows = move || {
        let mut rows = found();
        if !painted.get() {
            rows.truncate(FIRST_SHOWN);
        }
        rows
    };
    let total = move || {
        desk.hitters
            .with(|all| all.iter().filter(|hitter| !is_archived(hitter)).count())
    };
    let many = move || total() > 8;
    let count = move || {
        let shown = found().len();
        match (total(), shown) {
            (0, _) => "No hitters yet.".to_owned(),
            (total, shown) if shown < total => format!("{shown} of {total} hitters shown."),
            (total, _) => counted(total, "hitter", "hitters"),
        }
    };
    view! {
        <div class="detail">
            <AddHitter />
            {way(Leaf::Roster.path(), "Roster", "", false)}
            {way(Leaf::Session.path(), "Session", "", false)}
            <Show when=many>
                <label class="search">
                    <span>"Find by name"</span>
                    <input
                        type="search"
                        autocomplete="off"
                        on:input=move |event| searched.set(event_target_value(&event))
                    />
                </label>
            </Show>
            <p role="status">{count}</p>
            <ul class="roster">
                <For
                    each=rows
                    key=|hitter| (hitter.head.id, hitter.name.stamp(), hitter.bats.stamp(), hitter.level.stamp())
                    let:hitter
                >
                    <Row hitter />
                </For>
            </ul>
            <Show when=move || { total() > shown_most.get() }>
                {act("Show more", "wide", Callback::new(move |()| shown_most.update(|most| *most += SHOWN_AT_ONCE)))}
            </Show>
        </div>
    }
    .into_any()
}

#[component]
fn Row(hitter: Hitter) -> impl IntoView {
    let desk = expect_context::<Desk>();
    let home = Place::Home.open();
    let id = hitter.head.id;
    let editing = RwSignal::new(false);
    let name = hitter.name.get().clone();
    let home = StoredValue::new_local(home);
    // Home shows once there is something of this hitter to show.
    let pick = move |_| desk.choose_then(id, move || home.with_value(|home| home()));
    let kept = StoredValue::new(hitter.clone());
    view! {
        <li>
            <div class="row">
                <button
                    type="button"
                    class="hitter-now"
                    aria-pressed=move || (desk.chosen.get() == Some(id)).to_string()
                    on:click=pick
                >
                    <bdi class="name">
                        {name.clone()}
                    </bdi>
                    <span class="facts">{facts(&hitter)}</span>
                </button>
                {act_spoken(Signal::stored("Edit".to_owned()), Signal::stored(format!("Edit {name}")), "quiet", Some(editing.into()), Callback::new(move |()| editing.update(|editing| *editing = !*editing)))}
            </div>
            <Show when=move || editing.get()>
                <HitterForm
                    editing=kept.get_value()
                    done=move |()| editing.set(false)
                />
                {act("Remove this hitter", "quiet", Callback::new(move |()| desk.remove_hitter(kept.get_value())))}
            </Show>
        </li>
    }
}

#[component]
fn AddHitter() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let asked = RwSignal::new(desk.hitters.with_untracked(Vec::is_empty));
    let home = StoredValue::new_local(Place::Home.open());
    view! {
        <Show
            when=move || asked.get()
            fallback=move || {
                view! {
                    {act("Add a hitter", "wide", Callback::new(move |()| asked.set(true)))}
                }
            }
        >
            <HitterForm done=move |()| {
                asked.set(false);
                home.with_value(|home| home());
            } />
        </Show>
    }
}

/// The form of a hitter: a new one, or one that is edited.
#[component]
fn HitterForm(
    #[prop(optional, into)] editing: Option<Hitter>,
    #[prop(into)] done: Callback<()>,
) -> impl IntoView {
    let desk = expect_context::<Desk>();
    let id: Option<RecordId> = editing.as_ref().map(|hitter| hitter.head.id);
    let name_before = editing
        .as_ref()
        .map_or(String::new(), |hitter| hitter.name.get().clone());
    let (bats_before, level_before) = match &editing {
        Some(hitter) => (bats_of(hitter), crate::state::level_of(hitter)),
        // A coach adds one team after another: start from the hitter at work.
        None => {
            let like = untrack(|| desk.hitter());
            let level = like.as_ref().map_or(&LEVELS[0], crate::state::level_of);
            (Bats::Right, level)
        }
    };
    let name = NodeRef::<Input>::new();
    let bats = RwSignal::new(bats_before);
    let level = RwSignal::new(level_before);
    let refusal = RwSignal::new(None::<String>);
    // The form of a new hitter may stand above that of an edited one.
    let refusal_id = format!(
        "name-refusal-{}",
        id.map_or("new".to_owned(), |id| id.to_string())
    );
    let submit = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let new = NewHitter {
            name: name
                .get_untracked()
                .map(|input| input.value())
                .unwrap_or_default(),
            bats: bats.get_untracked(),
            level: level.get_untracked(),
        };
        let result = match id {
            Some(id) => desk.edit_hitter(id, &new),
            None => desk.add_hitter(&new),
        };
        match result {
            Ok(()) => {
                refusal.set(None);
                done.run(());
            }
            Err(error) => refusal.set(Some(error.to_string())),
        }
    };
    let levels = options_of(LEVELS, |level| (level.id, level.name));
    let sides = vec![
        (Bats::Left.id(), Side::Left.name()),
        (Bats::Right.id(), Side::Right.name()),
        (Bats::Both.id(), "Both"),
    ];
    view! {
        <form class="hitter-form" novalidate on:submit=submit>
            <label>
                <span>"First name or initials"</span>
                <input
                    type="text"
                    dir="auto"
                    autocomplete="off"
                    autocapitalize="words"
                    node_ref=name
                    prop:value=name_before
                    aria-describedby=refusal_id.clone()
                    aria-invalid=move || refusal.with(Option::is_some).to_string()
                />
            </label>
            <p id=refusal_id class="refusal" role="status">
                {move || refusal.get()}
            </p>
            {choice("Bats", sides, Signal::derive(move || bats.get().id()), Callback::new(move |id: &'static str| {
                    if let Some(chosen) = Bats::from_id(id) {
                        bats.set(chosen);
                    }
                }))}
            {selection("Level", false, Signal::stored(levels), Signal::derive(move || level.get().id.to_owned()), Callback::new(move |id: String| {
                    if let Some(chosen) = flight::level(&id) {
                        level.set(chosen);
                    }
                }))}
            <button type="submit" class="main-act">
                {if id.is_some() { "Save" } else { "Save hitter" }}
            </button>
            <small>"Kept on this phone. No birth date and no family name are needed."</small>
        </form>
    }
}

fn bats_of(hitter: &Hitter) -> Bats {
    Bats::from_id(hitter.bats.get().as_str()).unwrap_or(Bats::Right)
}

fn facts(hitter: &Hitter) -> String {
    let level: &Level = crate::state::level_of(hitter);
    format!("{}, {}", bats_of(hitter).name(), level.name)
}

/// The side batted now, to switch for a hitter who bats both.
#[component]
pub fn SideNow() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let both = move || {
        desk.hitter()
            .is_some_and(|hitter| bats_of(&hitter) == Bats::Both)
    };
    let now = Signal::derive(move || {
        let hitter = desk.hitter();
        hitter
            .map_or(Side::Right, |hitter| desk.side_now(&hitter))
            .id()
    });
    view! {
        <Show when=both>
            {choice("Bats now", Side::ALL.iter().map(|side| (side.id(), side.name())).collect(), now, Callback::new(move |id: &'static str| {
                    if let Some(side) = Side::from_id(id) {
                        desk.set_side(side);
                    }
                }))}
        </Show>
    }
}
