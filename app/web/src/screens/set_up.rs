//! Where to put the machine, and how fast.

mod answer;
mod cage;
mod card;
mod correction;
mod drawing;
mod feeds;
mod inverse;
mod machine;
mod number;
mod pitch;
mod said_in_the_trade;
mod trade_off;
mod wobble;

use super::with_hitter;
use crate::parts::{
    Part, Place, cautions, choice, fold, group, heading, line, live, one_by_one, panel, refusal,
    speed,
};
use crate::state::{Answer, Desk, Entry, SetUpQuestion, Stands, names::set_up as name};
use answer::{figures, reason, seen_against};
use flight::Field;
use leptos::prelude::*;

/// The set-up for the chosen hitter.
#[component]
pub fn SetUpPanel() -> impl IntoView {
    let desk = expect_context::<Desk>();
    // Nothing is asked while there is no hitter; the first level's usual question
    // stands in during the moment a hitter is removed.
    let question = Memo::new(move |before: Option<&SetUpQuestion>| {
        desk.set_up_question()
            .or(before.copied())
            .unwrap_or_else(|| SetUpQuestion::usual(&flight::LEVELS[0]))
    });
    let answer = Memo::new(move |_| timed(&question.get()));
    provide_context(Asked { question, answer });
    panel(Place::SetUp, "Machine set-up", None, summary, detail)
}

const NO_HITTER: &str = "Add a hitter, and the machine's place and speed for his or her level \
                         stand here.";

fn summary() -> AnyView {
    with_hitter(NO_HITTER, || {
        let Asked { question, answer } = Asked::now();
        live(move || {
            answer.with(|answer| match answer.closest() {
                None => refusal(format!("{}. Open to change it.", reason(answer))),
                Some(found) => group(vec![
                    figures(found),
                    line("line", for_pitch(&question.get(), answer)),
                    line("line caution", SHORT_CAUTION),
                ]),
            })
        })
    })
}

/// The caution that stands wherever the numbers stand.
const SHORT_CAUTION: &str = "Helmets on. Box empty for 5 balls.";

/// Two lines at most: what the hitter sees against the pitch.
fn for_pitch(question: &SetUpQuestion, answer: &Answer) -> String {
    let Some(found) = answer.closest() else {
        return String::new();
    };
    let side = answer::side_of(found.side_ft);
    let pitch = speed(question.pitch.speed_mph);
    match answer {
        Answer::Found(_) => format!("{side}. Time and angles of a {pitch} pitch."),
        Answer::None(_) => format!("{side}. Closest to {pitch}: {}.", seen_against(found)),
    }
}

fn timed(question: &SetUpQuestion) -> Answer {
    crate::device::clock::timed("stridebook-set-up-search", || question.answer())
}

fn detail() -> AnyView {
    with_hitter(NO_HITTER, opened)
}

/// What every part of the panel works from: the question, and its answer, searched
/// once.
#[derive(Clone, Copy)]
struct Asked {
    question: Memo<SetUpQuestion>,
    answer: Memo<Answer>,
}

impl Asked {
    fn now() -> Self {
        expect_context::<Self>()
    }
}

fn opened() -> AnyView {
    let parts: [fn() -> AnyView; 6] = [
        || group(vec![answer::held(), answer::view()]),
        || {
            group(vec![
                fold("Card for the cage", card::view),
                fold("Drawn to scale", drawing::view),
                heading("The pitch to prepare for"),
            ])
        },
        pitch::view,
        || group(vec![heading("The machine"), stands(), machine::view()]),
        || {
            group(vec![
                cage::view(),
                fold("After the first balls", correction::view),
                fold("A little off", wobble::view),
                fold("Nearer or farther", trade_off::view),
                fold("Fed by hand, or a tee", feeds::view),
                fold("Said in the trade", said_in_the_trade::view),
            ])
        },
        || {
            group(vec![
                heading("The other way round"),
                inverse::view(),
                heading("Before the first ball"),
                cautions(CAUTIONS.map(str::to_owned).to_vec()),
            ])
        },
    ];
    let parts = parts.map(|part| Box::new(part) as Part);
    let parts = one_by_one(1, Vec::from(parts));
    view! { <div class="detail set-up-detail">{parts}</div> }.into_any()
}

/// Where the machine stands: at a distance that was given, or anywhere.
fn stands() -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    let here = Memo::new(move |_| question.get().stands == Stands::Here);
    group(vec![
        choice(
            "Where it stands",
            Stands::ALL
                .map(|stands| (stands.id(), stands.name()))
                .to_vec(),
            Signal::derive(move || question.get().stands.id()),
            Callback::new(move |id| desk.edit_set_up(vec![Entry::choice(name::STANDS, id)])),
        ),
        live(move || match here.get() {
            true => number::of_set_up(
                Field::MachineDistance,
                "",
                name::MACHINE_DISTANCE,
                |asked| asked.machine_distance_ft,
            ),
            false => group(vec![]),
        }),
    ])
}

const CAUTIONS: [&str; 5] = [
    "Helmets for all in the cage; a screen for whoever feeds.",
    "Nobody in the line of fire, or in front of the machine while it is powered.",
    "The first five balls, and five after every change: box empty.",
    "Unplug before clearing a ball. An adult stays at the machine: a minor never runs it unsupervised.",
    "The machine maker\u{2019}s manual and your league\u{2019}s rules stand above this page.",
];
