//! The count: taken, played, compared. Thin: what is due when, and what a count
//! means, is `coaching`.

mod beat_button;
mod counting;
mod cues;
mod gear;
mod held;
mod kept;
mod light;
mod listen;
mod numbers;
mod pace;
mod playing;
mod plots;
mod practice;
mod run;
mod sense;
mod sets;
mod setting;
mod speaker;
mod spoken;
mod stopping;
mod taking;
mod trend;
mod watch;
mod way;

use crate::parts::{Leaf, act, choice, fold, group, line, live, way as way_to};
use crate::state::Desk;
use leptos::prelude::*;
use light::Light;
use practice::Mode;
use run::Tempo;
use way::Way;

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let has_hitter = Memo::new(move |_| desk.chosen.get().is_some());
    live(move || {
        if has_hitter.get() {
            of_hitter(desk)
        } else {
            group(vec![
                line("line", "No hitter is chosen. A count belongs to a hitter."),
                way_to(
                    Leaf::Roster.path(),
                    "Choose one on the roster",
                    "wide",
                    true,
                ),
            ])
        }
    })
}

fn of_hitter(desk: Desk) -> AnyView {
    let tempo = Tempo::new(desk);
    let light = Light::new();
    tempo.gear.update_value(|gear| gear.light = Some(light));
    provide_context(tempo);
    watch::watch(tempo);
    if tempo.mode.get_untracked() == Mode::Alone {
        setting::alone_where_it_is_safe(tempo);
    }
    let name = move || desk.hitter().map(|hitter| hitter.name.get().clone());
    let target = move || {
        let own = desk.target().is_some();
        let seconds = crate::words::fixed(tempo.target().seconds(), 2);
        let whose = if own {
            "target"
        } else {
            "usual target, none set yet:"
        };
        format!("{}: {whose} {seconds} s", name().unwrap_or_default())
    };
    view! {
        <div class="tempo detail">
            <p class="tempo-whose">{target}</p>
            {light::view(light)}
            {light::said(tempo)}
            {live(move || stopped(tempo))}
            {live(move || start_or_stop(tempo))}
            {counting::taps(tempo)}
            {held::view(tempo)}
            {counting::figures(tempo)}
            {pace::view(tempo)}
            {choice("Practice", named(Mode::ALL), Signal::derive(move || tempo.mode.get().id()), Callback::new(move |id| choose_mode(tempo, id)))}
            {live(move || about(tempo))}
            {choice("Count by", Way::NAMED.to_vec(), Signal::derive(move || tempo.way.get().id()), Callback::new(move |id| choose_way(tempo, id)))}
            {live(move || match tempo.way.get() {
                Way::Taps => counting::about_taps(tempo),
                Way::Sound => listen::view(tempo),
                Way::Motion => sense::view(tempo),
                Way::Played => line("line", "The count is played and nothing is measured or kept."),
            })}
            <h2>"Set and results"</h2>
            {fold("Target and set", setting::view)}
            {fold("Reps of this set", counting::reps)}
            {fold("Numbers", numbers::view)}
            {fold("Plots", plots::view)}
            {fold("Spoken count", spoken::view)}
            {fold("Speaker delay", speaker::view)}
            {cautions()}
        </div>
    }
    .into_any()
}

fn named(modes: [Mode; 6]) -> Vec<(&'static str, &'static str)> {
    modes.map(|mode| (mode.id(), mode.name())).to_vec()
}

fn choose_mode(tempo: Tempo, id: &str) {
    if let Some(mode) = Mode::from_id(id) {
        tempo.stop();
        tempo.stopped.set(None);
        tempo.mode.set(mode);
        if mode == Mode::Alone {
            setting::alone_where_it_is_safe(tempo);
            if tempo.way.get_untracked() == Way::Taps {
                choose_way(tempo, Way::Played.id());
            }
            tempo.lift_by_beat.set(true);
        }
    }
}

fn choose_way(tempo: Tempo, id: &str) {
    tempo.stop();
    tempo.forget();
    tempo.way.set(Way::from_id(id));
    tempo.gear.update_value(|gear| {
        gear.microphone = None;
        gear.motion = None;
    });
}

fn about(tempo: Tempo) -> AnyView {
    let mode = tempo.mode.get();
    let mut parts = vec![line("line", mode.about())];
    match mode {
        Mode::Ladder => parts.push(setting::ladder(tempo)),
        Mode::Alone => parts.push(setting::alone(tempo)),
        Mode::Random => parts.push(setting::random(tempo)),
        _ => {}
    }
    group(parts)
}

fn start_or_stop(tempo: Tempo) -> AnyView {
    if tempo.running.with(Option::is_some) {
        let so_far = move || {
            tempo.running.with(|running| {
                running.as_ref().map_or(String::new(), |running| {
                    format!(
                        "Stop (rep {} of {})",
                        running.before + (running.over + 1).min(running.total()),
                        running.before + running.total()
                    )
                })
            })
        };
        return view! {
            <button type="button" class="wide" on:click=move |_| tempo.stop()>
                {so_far}
            </button>
        }
        .into_any();
    }
    let label = match tempo.mode.get() {
        Mode::Alone => "Start 20 reps",
        _ => "Start the beat",
    };
    act(label, "main-act", Callback::new(move |()| tempo.play()))
}

/// Why a set was stopped from outside, and the way on.
fn stopped(tempo: Tempo) -> AnyView {
    let Some(stopped) = tempo.stopped.get() else {
        return ().into_any();
    };
    view! {
        <div class="tempo-stopped" role="alert">
            <p>{stopped.why}</p>
            {act("Go on with the set", "wide", Callback::new(move |()| tempo.go_on()))}
            {act("Leave it", "quiet", Callback::new(move |()| tempo.stopped.set(None)))}
        </div>
    }
    .into_any()
}

fn cautions() -> AnyView {
    line(
        "line caution",
        "Stand out of the bat's reach and behind a screen when balls are hit. Nobody wears earphones \
         in a cage. A player alone: tee or medicine ball only, a light ball, nobody in front, stop \
         on pain. The maker's manual of the machine and the league's rules come first.",
    )
}
