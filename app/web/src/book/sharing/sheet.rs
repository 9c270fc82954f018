//! The recovery sheet: twelve words on paper that bring everything back.

use super::{Sharing, Shown};
use crate::device::sync_messages::{Answer, Ask};
use crate::parts::{act, group, line, live, name_field, small_heading};
use crate::words::counted;
use leptos::prelude::*;

pub fn view() -> AnyView {
    let sharing = Sharing::now();
    let typed = RwSignal::new(String::new());
    let make = move |()| {
        sharing.ask(Ask::MakeSheet, |answer| match answer {
            Answer::Words { words } => Shown::Words(words, FOR_PAPER),
            _ => Shown::Nothing,
        });
    };
    let recover = move |()| {
        let words = typed.get_untracked();
        sharing.ask_server(Ask::Recover { words }, |answer| match answer {
            Answer::Recovered { notebooks } => Shown::Said(format!(
                "{} now belong to this phone. Under \u{201c}Notebooks\u{201d} take off the phones that are lost.",
                counted(notebooks as usize, "notebook", "notebooks")
            )),
            _ => Shown::Nothing,
        });
    };
    let print = move |()| {
        // A browser without a printer does nothing.
        let _ = window().print();
    };
    group(vec![
        line("line caution", LOST),
        act("Make a recovery sheet", "wide", Callback::new(make)),
        act("Print this page", "wide", Callback::new(print)),
        small_heading("Bring everything back"),
        name_field(
            "Twelve words of a sheet",
            typed.into(),
            Callback::new(move |words: String| {
                typed.set(words);
                Ok(())
            }),
        ),
        live(move || match typed.with(|typed| typed.trim().is_empty()) {
            true => line("line", "Type the words with blanks between them."),
            false => act("Bring back", "wide", Callback::new(recover)),
        }),
    ])
}

const LOST: &str = "If all phones of a notebook are lost and there is no sheet, its records are lost: \
                    nobody else has the key, the server neither.";
const FOR_PAPER: &str = "Twelve words for paper. They are shown once. Whoever has them can read and \
                         own every notebook of this phone: keep the sheet where nobody else looks.";
