//! The count: tap at lift, tap at contact.

use super::hitters::SideNow;
use crate::parts::{
    Leaf, Part, Place, act, act_spoken, choice, one_by_one, options_of, panel, selection, way,
};
use crate::state::{Desk, has_feed};
use crate::words::fixed;
use coaching::vocabulary::{Environment, Hand};
use leptos::prelude::*;
use notebook::Rep;

/// The count of the chosen hitter.
#[component]
pub fn CountPanel() -> impl IntoView {
    let beside = || view! { <EnvironmentNow /> }.into_any();
    panel(Place::Count, "Count", Some(beside), summary, detail)
}

fn summary() -> AnyView {
    view! {
        <Figures />
        <TapButton />
    }
    .into_any()
}

fn detail() -> AnyView {
    let desk = expect_context::<Desk>();
    let feeds = Hand::ALL
        .iter()
        .map(|hand| (hand.id(), hand.thrower()))
        .collect::<Vec<_>>();
    let fed = move || has_feed(desk.environment.get());
    let sentence = move || {
        desk.round.with(|round| {
            round
                .stats()
                .map_or("No rep in this set yet.".to_owned(), |stats| {
                    stats.sentence()
                })
        })
    };
    let reps: Part = Box::new(|| view! { <Reps /> }.into_any());
    let how: Part = Box::new(how_to_count);
    view! {
        <div class="detail count-detail">
            <Show when=fed>
                {choice("Ball comes as from a", feeds.clone(), Signal::derive(move || desk.feed.get().id()), Callback::new(move |id: &'static str| {
                        if let Some(feed) = Hand::from_id(id) {
                            desk.set_feed(feed);
                        }
                    }))}
            </Show>
            <SideNow />
            <Figures />
            <TapButton />
            <p class="line" role="status">
                {sentence}
            </p>
            {act("Begin a new set", "wide", Callback::new(move |()| desk.new_set()))}
            {one_by_one(0, vec![reps, how])}
        </div>
    }
    .into_any()
}

fn how_to_count() -> AnyView {
    view! {
        <h3>"How to count"</h3>
        {way(Leaf::Tempo.path(), "Tempo", "", false)}
        <p class="line">
            "Lift is the front heel's first move. Contact is the ball met; for a medicine ball the release; for a take or a miss the ball over the plate. A space or enter key taps too."
        </p>
        <p class="line caution">
            "Stand out of the bat's reach and behind a screen when balls are hit. Nobody wears earphones in a cage. A player alone: tee or medicine ball only; a light ball, nobody in front, stop on pain."
        </p>
    }
    .into_any()
}

#[component]
fn EnvironmentNow() -> impl IntoView {
    let desk = expect_context::<Desk>();
    view! {
        {selection("Environment", true, Signal::stored(options_of(Environment::ALL, |known| (known.id(), known.name()))), Signal::derive(move || desk.environment.get().id().to_owned()), Callback::new(move |id: String| {
                if let Some(environment) = Environment::from_id(&id) {
                    desk.set_environment(environment);
                }
            }))}
    }
}

/// Last, mean and spread of the set.
#[component]
fn Figures() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let stats = Memo::new(move |_| desk.round.with(|round| round.stats()));
    let seconds = |value: Option<f64>| value.map_or("\u{2013}".to_owned(), |s| fixed(s, 2));
    let last = move || seconds(stats.get().map(|stats| stats.last_s));
    let mean = move || seconds(stats.get().map(|stats| stats.mean_s));
    let spread = move || seconds(stats.get().and_then(|stats| stats.sd_s));
    let reps = move || stats.get().map_or(0, |stats| stats.n);
    view! {
        <dl class="figures four" aria-live="polite">
            <div>
                <dt>"Last"</dt>
                <dd>{last} <small>" s"</small></dd>
            </div>
            <div>
                <dt>"Mean"</dt>
                <dd>{mean} <small>" s"</small></dd>
            </div>
            <div>
                <dt>"Spread"</dt>
                <dd>{spread} <small>" s"</small></dd>
            </div>
            <div>
                <dt>"Reps"</dt>
                <dd>{reps}</dd>
            </div>
        </dl>
    }
}

/// The large button. It takes the time stamp of the event itself, not the time
/// at which this code came to run.
#[component]
fn TapButton() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let has_hitter = move || desk.chosen.get().is_some();
    let lifted = Memo::new(move |_| desk.round.with(|round| round.lift.is_some()));
    // A pointer or key press counts at once, on its way down. The click that
    // follows a press says so (its detail counts presses); a click without a
    // press comes from assistive technology and counts by itself.
    view! {
        <div class="tap">
            <button
                type="button"
                class="tap-button"
                class:lifted=lifted
                disabled=move || !has_hitter()
                on:pointerdown=move |event| {
                    if event.is_primary() && event.button() == 0 {
                        desk.tap(event.time_stamp());
                    }
                }
                on:keydown=move |event| {
                    if matches!(event.key().as_str(), " " | "Enter") {
                        // Held down, a key repeats; and its click must not follow.
                        event.prevent_default();
                        if !event.repeat() {
                            desk.tap(event.time_stamp());
                        }
                    }
                }
                on:keyup=move |event| {
                    // Some browsers click on the way up.
                    if event.key() == " " {
                        event.prevent_default();
                    }
                }
                on:click=move |event| {
                    if event.detail() == 0 {
                        desk.tap(event.time_stamp());
                    }
                }
            >
                {move || {
                    if !has_hitter() {
                        "Add a hitter to count"
                    } else if lifted.get() {
                        "Tap at contact"
                    } else {
                        "Tap at lift"
                    }
                }}
            </button>
            <Show when=move || lifted.get()>
                {act("Forget this lift", "quiet", Callback::new(move |()| desk.forget_lift()))}
            </Show>
        </div>
    }
}

/// The reps of the set, newest first.
#[component]
fn Reps() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let newest_first = move || {
        desk.round
            .with(|round| round.reps().rev().cloned().collect::<Vec<_>>())
    };
    view! {
        <ol class="reps" reversed>
            <For each=newest_first key=|rep| rep.head.id let:rep>
                <OneRep rep />
            </For>
        </ol>
    }
}

#[component]
fn OneRep(rep: Rep) -> impl IntoView {
    let desk = expect_context::<Desk>();
    let environment = rep.context.environment.as_str().to_owned();
    let named = Environment::from_id(&environment).map_or(environment, |e| e.name().to_owned());
    let text = format!("Rep {}: {} s, {named}", rep.number, fixed(rep.count_s, 2));
    let label = format!("Take rep {} out", rep.number);
    let rep = StoredValue::new(rep);
    view! {
        <li class="row">
            <span>{text}</span>
            {act_spoken(Signal::stored("Take out".to_owned()), Signal::stored(label), "quiet", None, Callback::new(move |()| desk.remove_rep(rep.get_value())))}
        </li>
    }
}
