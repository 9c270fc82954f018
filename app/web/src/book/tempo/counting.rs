//! Taps, and the set's figures and reps.

use super::run::Tempo;
use super::way::Way;
use crate::parts::{act, act_spoken, choice, group, line, live, live_line};
use crate::words::fixed;
use coaching::count::SetStats;
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use notebook::Rep;

/// The large button, where taps are taken: it takes the event's own time.
pub fn taps(tempo: Tempo) -> AnyView {
    let shown = Memo::new(move |_| match tempo.way.get() {
        Way::Taps => true,
        Way::Sound => !tempo.lift_by_beat.get(),
        Way::Motion | Way::Played => false,
    });
    live(move || {
        if shown.get() {
            button(tempo)
        } else {
            ().into_any()
        }
    })
}

fn button(tempo: Tempo) -> AnyView {
    let lifted = Memo::new(move |_| tempo.lift_ms.get().is_some());
    let word = move || match (lifted.get(), tempo.way.get()) {
        (false, _) => "Tap at lift",
        (true, Way::Sound) => "Listening for contact",
        (true, _) if tempo.with_foot.get() && tempo.foot_ms.get().is_none() => "Tap at foot down",
        (true, _) => "Tap at contact",
    };
    view! {
        <div class="tap">
            <button
                type="button"
                class="tap-button"
                class:lifted=lifted
                on:pointerdown=move |event| {
                    if event.is_primary() && event.button() == 0 {
                        tempo.tap(event.time_stamp());
                    }
                }
                on:keyup=move |event| {
                    // Some browsers click on the way up.
                    if event.key() == " " {
                        event.prevent_default();
                    }
                }
                on:click=move |event| {
                    // A click without a press: assistive technology.
                    if event.detail() == 0 {
                        tempo.tap(event.time_stamp());
                    }
                }
            >
                {word}
            </button>
            {live(move || {
                if lifted.get() {
                    act("Forget this lift", "quiet", Callback::new(move |()| tempo.forget()))
                } else {
                    ().into_any()
                }
            })}
        </div>
    }
    .into_any()
}

/// How taps are taken.
pub fn about_taps(tempo: Tempo) -> AnyView {
    group(vec![
        choice(
            "Foot down",
            vec![("no", "Leave out"), ("yes", "Tap it too")],
            Signal::derive(move || if tempo.with_foot.get() { "yes" } else { "no" }),
            Callback::new(move |id| {
                tempo.forget();
                tempo.with_foot.set(id == "yes");
            }),
        ),
        line(
            "line",
            "Lift is the front heel's first move. Contact is the ball met; for a medicine ball the \
             release; for a take or a miss the ball over the plate. A remote or keyboard taps too: \
             space, enter, arrows, page up and down, and media and volume keys where the browser \
             gives them.",
        ),
    ])
}

/// Last, mean, spread and n of the set, and the set in a sentence.
pub fn figures(tempo: Tempo) -> AnyView {
    let stats = Memo::new(move |_| SetStats::of(&tempo.counts_s()));
    let seconds = |value: Option<f64>| value.map_or("\u{2013}".to_owned(), |s| fixed(s, 2));
    let figure = |name: &'static str, of: Box<dyn Fn() -> String + Send + Sync>| {
        view! {
            <div>
                <dt>{name}</dt>
                <dd>{move || of()}</dd>
            </div>
        }
        .into_any()
    };
    let figures = vec![
        figure(
            "Last, s",
            Box::new(move || seconds(stats.get().map(|stats| stats.last_s))),
        ),
        figure(
            "Mean, s",
            Box::new(move || seconds(stats.get().map(|stats| stats.mean_s))),
        ),
        figure(
            "Spread, s",
            Box::new(move || seconds(stats.get().and_then(|stats| stats.sd_s))),
        ),
        figure(
            "Reps",
            Box::new(move || stats.get().map_or(0, |stats| stats.n).to_string()),
        ),
    ];
    group(vec![
        view! { <dl class="figures four">{figures}</dl> }.into_any(),
        live_line("line", move || {
            let sentence = stats.get().map(|stats| stats.sentence());
            sentence.unwrap_or_else(|| "No rep in this set yet.".to_owned())
        }),
    ])
}

/// The open set's reps, newest first, each with a way to take it out.
pub fn reps() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let newest_first = move || {
        let set = tempo.set.get();
        let reps = tempo.recent.get().unwrap_or_default();
        let rows: Vec<AnyView> = reps
            .into_iter()
            .rev()
            .filter(|rep| rep.set == set)
            .map(|rep| one(tempo, rep))
            .collect();
        match rows.is_empty() {
            true => line("line", "No rep in this set yet."),
            false => view! { <ol class="reps" reversed>{rows}</ol> }.into_any(),
        }
    };
    group(vec![
        live(newest_first),
        act(
            "Begin a new set",
            "wide",
            Callback::new(move |()| tempo.new_set()),
        ),
    ])
}

fn one(tempo: Tempo, rep: Rep) -> AnyView {
    let environment = rep.context.environment.as_str().to_owned();
    let named =
        Environment::from_id(&environment).map_or(environment, |known| known.name().to_owned());
    let mut text = format!("Rep {}: {} s, {named}", rep.number, fixed(rep.count_s, 2));
    if let Some(down_s) = rep.numbers.get(crate::state::names::rep::FOOT_DOWN) {
        text.push_str(&format!(
            ", foot down {} s before contact",
            fixed(*down_s, 2)
        ));
    }
    if let Some(quality) = rep.choices.get(crate::state::names::rep::QUALITY) {
        text.push_str(&format!(", sensed: {}", quality.as_str()));
    }
    let label = format!("Take rep {} out", rep.number);
    let rep = StoredValue::new(rep);
    let take_out = move |()| {
        tempo
            .desk
            .take_out(rep.get_value(), Callback::new(move |()| tempo.read()));
    };
    view! {
        <li class="row">
            <span>{text}</span>
            {act_spoken(Signal::stored("Take out".to_owned()), Signal::stored(label), "quiet", None, Callback::new(take_out))}
        </li>
    }
    .into_any()
}
