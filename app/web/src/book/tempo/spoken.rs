//! A spoken count in seconds: what is said, tapped along beat by beat. Kept on this
//! phone for each hitter.

use super::kept::{keep, kept};
use super::run::Tempo;
use crate::parts::{act, group, line, live, live_line, name_field};
use crate::words::fixed;
use coaching::tempo::spoken::Spoken;
use leptos::prelude::*;
use notebook::RecordId;

/// What is said, and the times of its taps, count by count, ms.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
struct Said {
    words: String,
    counts_ms: Vec<Vec<f64>>,
}

/// Longest text, in characters.
const LONGEST: usize = 40;

fn key(hitter: RecordId) -> String {
    format!("spoken.{hitter}")
}

fn said_of(hitter: Option<RecordId>) -> Said {
    let said = hitter.and_then(|hitter| kept(&key(hitter)));
    said.unwrap_or_else(|| Said {
        words: "one, two, three".to_owned(),
        counts_ms: Vec::new(),
    })
}

impl Said {
    fn spoken(&self) -> Result<Spoken, String> {
        let counts: Vec<&[f64]> = self.counts_ms.iter().map(Vec::as_slice).collect();
        Spoken::of(&counts).map_err(|error| error.to_string())
    }
}

/// The hitter's spoken beat, when it was timed.
pub fn known(hitter: Option<RecordId>) -> Option<Spoken> {
    said_of(hitter).spoken().ok()
}

/// What was timed, in sentences: the beat, the whole count, the target in beats.
fn sentences(said: &Said, target_s: f64) -> Vec<String> {
    let Ok(spoken) = said.spoken() else {
        return vec!["Not timed yet.".to_owned()];
    };
    let steps = |count: &Vec<f64>| count.len().saturating_sub(1);
    let beats = said.counts_ms.last().map_or(0, steps) as f64;
    let (seconds, within) = (spoken.seconds_of(beats), spoken.seconds_within(beats));
    let target = spoken.beats_of(target_s);
    vec![
        format!(
            "\u{201c}{}\u{201d}, from its first to its last beat: {} s (95 percent interval {} to {} s).",
            said.words,
            fixed(seconds, 2),
            fixed(within.low_s, 2),
            fixed(within.high_s, 2)
        ),
        spoken.sentence(),
        format!(
            "The target of {} s is {} of these beats.",
            fixed(target_s, 2),
            fixed(target.beats, 1)
        ),
    ]
}

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let said = RwSignal::new(said_of(tempo.desk.chosen.get_untracked()));
    let taps = RwSignal::new(None::<Vec<Vec<f64>>>);
    let told = RwSignal::new(String::new());
    let write = move || {
        if let Some(hitter) = tempo.desk.chosen.get_untracked() {
            said.with_untracked(|said| keep(&key(hitter), said));
        }
    };
    let rename = Callback::new(move |typed: String| {
        let length = typed.trim().chars().count();
        if !(1..=LONGEST).contains(&length) {
            return Err(format!(
                "What is said: 1 to {LONGEST} characters, and {length} were given. The words from before are kept."
            ));
        }
        said.update(|said| typed.trim().clone_into(&mut said.words));
        write();
        Ok(())
    });
    let finish = move |()| {
        let mut counts_ms = taps.try_update(Option::take).flatten().unwrap_or_default();
        counts_ms.retain(|count| count.len() > 1);
        let tried = Said {
            words: said.with_untracked(|said| said.words.clone()),
            counts_ms,
        };
        match tried.spoken() {
            Ok(_) => {
                said.set(tried);
                write();
                told.set(String::new());
            }
            Err(refused) => told.set(refused),
        }
    };
    group(vec![
        line(
            "line",
            "Say the count as it is said in practice and tap on each beat of it, two times or more. \
             The pause between two counts is no beat.",
        ),
        name_field(
            "What is said",
            Signal::derive(move || said.with(|said| said.words.clone())),
            rename,
        ),
        live(move || match taps.with(Option::is_some) {
            false => act(
                "Time it by tapping",
                "wide",
                Callback::new(move |()| {
                    tempo.stop();
                    told.set(String::new());
                    taps.set(Some(vec![Vec::new()]));
                }),
            ),
            true => group(vec![
                tap_button(taps),
                act(
                    "Next count",
                    "wide",
                    Callback::new(move |()| {
                        taps.update(|taps| taps.iter_mut().for_each(|all| all.push(Vec::new())));
                    }),
                ),
                act("Done", "main-act", Callback::new(finish)),
            ]),
        }),
        live_line("line", move || {
            taps.with(|taps| match taps {
                None => told.get(),
                Some(all) => {
                    let beats = all.last().map_or(0, Vec::len);
                    format!("Count {}, {beats} taps.", all.len())
                }
            })
        }),
        live(move || {
            let target_s = tempo.target().seconds();
            let all = said.with(|said| sentences(said, target_s));
            group(all.into_iter().map(|text| line("line", text)).collect())
        }),
    ])
}

/// A tap on each spoken beat, by the event's own time.
fn tap_button(taps: RwSignal<Option<Vec<Vec<f64>>>>) -> AnyView {
    let tap = Callback::new(move |at_ms: f64| {
        taps.update(|taps| {
            if let Some(count) = taps.as_mut().and_then(|all| all.last_mut()) {
                count.push(at_ms);
            }
        });
    });
    super::beat_button::view("Tap each beat", tap)
}
