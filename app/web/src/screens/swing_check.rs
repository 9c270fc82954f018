//! The swing check: what to look at next, and what the answers say.

use super::with_hitter;
use crate::parts::{
    Leaf, Part, Place, act, act_spoken, after_paint, answer_buttons, group, heading, line, live,
    one_by_one, panel, refusal, said, way,
};
use crate::state::Desk;
use crate::words::when;
use coaching::check::{BEFORE, Item, Phase, Question};
use coaching::screening::{Finding, Screening};
use coaching::vocabulary::Answer;
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// The swing check of the chosen hitter.
#[component]
pub fn SwingCheckPanel() -> impl IntoView {
    panel(Place::SwingCheck, "Swing check", None, summary, detail)
}

const NO_HITTER: &str = "Add a hitter to begin a swing check.";

fn screening(desk: Desk) -> Memo<Screening> {
    Memo::new(move |_| desk.sheet.with(|sheet| sheet.screening()))
}

fn summary() -> AnyView {
    let desk = expect_context::<Desk>();
    let screening = screening(desk);
    live(move || {
        if desk.chosen.get().is_none() {
            return line("empty", NO_HITTER);
        }
        let screening = screening.get();
        let phase = screening.current_phase();
        let result = screening.phase(phase);
        let progress = format!(
            "{} of {} · {}",
            phase.number(),
            Phase::ALL.len(),
            phase.name()
        );
        let seen = format!("{} of {} looked at", result.answered(), result.items());
        view! {
            <p class="phase-line">
                <strong>{progress}</strong>
                <span>{seen}</span>
            </p>
            {next_view(desk, &screening)}
        }
        .into_any()
    })
}

/// The next thing to ask or to look at, with its three answers; or the finding
/// when nothing is left.
fn next_view(desk: Desk, screening: &Screening) -> AnyView {
    if let Finding::StopAndRefer { question } = &screening.finding {
        return said("finding", question.if_not);
    }
    let (id, title, note) = match (screening.next_question(), screening.next_item()) {
        (Some(question), _) => (question.id, question.title, question.ask.to_owned()),
        (None, Some(item)) => (
            item.id,
            item.title,
            format!("{}: {}", item.view.name(), item.good),
        ),
        (None, None) => {
            return said("finding", screening.finding.sentence());
        }
    };
    view! {
        {line("item-title", title)}
        {line("line two-lines", note)}
        {answer_buttons(title.to_owned(), Signal::stored(None), Callback::new(move |answer| desk.answer(id, answer)))}
    }
    .into_any()
}

fn detail() -> AnyView {
    with_hitter(NO_HITTER, || view! { <Detail /> }.into_any())
}

#[component]
fn Detail() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let screening = screening(desk);
    let begun = move || {
        desk.sheet.with(|sheet| {
            sheet.check.as_ref().map_or_else(
                || "Not begun. The first answer begins it.".to_owned(),
                |check| format!("Begun {}.", when(check.head.made)),
            )
        })
    };
    let minded = move || {
        let questions = screening.with(|screening| screening.before_not_yet.clone());
        questions
            .into_iter()
            .map(|question| line("line caution", question.if_not))
            .collect_view()
    };
    let before_first = || {
        let questions = BEFORE.iter();
        let views = questions.map(|question| view! { <OneQuestion question /> }.into_any());
        group(views.collect())
    };
    let mut parts: Vec<Part> = vec![Box::new(before_first)];
    for phase in Phase::ALL.iter().copied() {
        parts.push(Box::new(move || {
            view! { <OnePhase phase screening /> }.into_any()
        }));
    }
    parts.push(Box::new(|| view! { <EarlierLooks /> }.into_any()));
    view! {
        <div class="detail">
            <p class="finding" role="status">
                {move || screening.with(|screening| screening.finding.sentence())}
            </p>
            {minded}
            <p class="line">{begun}</p>
            {act("Begin a new look", "wide", Callback::new(move |()| desk.new_look()))}
            {way(Leaf::Check.path(), "Item by item", "", false)}
            {heading("Before the first phase")}
            {one_by_one(1, parts)}
        </div>
    }
}

/// The answer on disk to an item or question.
fn given(desk: Desk, id: &'static str) -> Signal<Option<Answer>> {
    Signal::derive(move || desk.sheet.with(|sheet| sheet.answer(id)))
}

#[component]
fn OneQuestion(question: &'static Question) -> impl IntoView {
    let desk = expect_context::<Desk>();
    view! {
        <div class="item">
            {line("item-title", question.title)}
            {line("line", question.ask)}
            {answer_buttons(question.title.to_owned(), given(desk, question.id), Callback::new(move |answer| desk.answer(question.id, answer)))}
        </div>
    }
}

/// A phase: its state, and its items when it is the one to look at or asked for.
#[component]
fn OnePhase(phase: Phase, screening: Memo<Screening>) -> impl IntoView {
    let state = move || {
        let standings = screening.with(Screening::standings);
        standings[phase.index()].words(Phase::name)
    };
    let at_it = screening.with_untracked(Screening::current_phase) == phase;
    let items_shown = RwSignal::new(at_it);
    let word = move || {
        if items_shown.get() {
            "Hide the items"
        } else {
            "Show the items"
        }
    };
    view! {
        <section class="phase" aria-label=phase.name()>
            <h3>{format!("{}. {}", phase.number(), phase.name())}</h3>
            <p class="line">
                <strong>{state}</strong>
                ". "
                {phase.how()}
            </p>
            {act_spoken(Signal::derive(move || word().to_owned()), Signal::derive(move || format!("{} of {}", word(), phase.in_words())), "quiet", Some(items_shown.into()), Callback::new(move |()| items_shown.update(|shown| *shown = !*shown)))}
            <Show when=move || items_shown.get()>
                {phase.items().map(|item| view! { <OneItem item /> }).collect_view()}
            </Show>
        </section>
    }
}

#[component]
fn OneItem(item: &'static Item) -> impl IntoView {
    let desk = expect_context::<Desk>();
    view! {
        <div class="item">
            {line("item-title", item.title)}
            {line("line", format!("{}: {}", item.view.name(), item.good))}
            {answer_buttons(item.title.to_owned(), given(desk, item.id), Callback::new(move |answer| desk.answer(item.id, answer)))}
            <details>
                <summary>"How to see it"</summary>
                <p>{item.how}</p>
                <p>
                    <strong>"Not yet: "</strong>
                    {item.fault}
                </p>
            </details>
            <p class="caution">{item.view.caution()} " " {item.caution}</p>
        </div>
    }
}

/// How many earlier looks are listed.
const LOOKS: u32 = 10;

#[component]
fn EarlierLooks() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let looks = RwSignal::new(None);
    Effect::new(move |_| {
        // Read again when the look at hand changes hands or grows.
        desk.chosen.track();
        desk.sheet.track();
        // An answer is shown before that.
        after_paint(move || {
            spawn_local(async move {
                let read = desk.earlier_looks(LOOKS).await;
                let _ = looks.try_set(Some(read));
            });
        });
    });
    let list = move || {
        let now = desk
            .sheet
            .with(|sheet| sheet.check.as_ref().map(|check| check.head.id));
        match looks.get() {
            None => said("line", "Reading…"),
            Some(Err(error)) => refusal(error.to_string()),
            Some(Ok(looks)) => {
                let rows: Vec<_> = looks
                    .into_iter()
                    .filter(|(head, _)| Some(head.id) != now)
                    .map(|(head, screening)| {
                        view! {
                            <li>
                                {when(head.made)} ": " <strong>{screening.finding.short()}</strong>
                            </li>
                        }
                    })
                    .collect();
                if rows.is_empty() {
                    line("line", "None yet.")
                } else {
                    view! { <ul class="looks">{rows}</ul> }.into_any()
                }
            }
        }
    };
    view! {
        <h3>"Earlier looks"</h3>
        {list}
    }
}
