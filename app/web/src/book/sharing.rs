//! Sharing with other phones: how far syncing is, passes, members, and ways
//! without any network. The worker does the work; here it is asked.

mod codes;
mod joining;
mod members;
mod sheet;

use crate::device::subject::Subject;
use crate::device::sync::{Sync, is_switched_on};
use crate::device::sync_messages::{Answer, Ask, Role, SyncState};
use crate::parts::{act, choice, fold, group, heading, in_step_line, line, live, refusal, said};
use crate::state::Desk;
use leptos::prelude::*;
use notebook::RecordId;
use wasm_bindgen_futures::spawn_local;

/// What a role may do, for the user.
pub const fn role_name(role: Role) -> &'static str {
    match role {
        Role::Coach => "Coach",
        Role::Parent => "Parent",
        Role::Player => "Player",
        Role::ReadOnly => "Reads only",
        Role::RecoverySheet => "Recovery sheet",
    }
}

/// What a touch on this screen led to, until the next one.
#[derive(Clone, PartialEq)]
pub enum Shown {
    /// Nothing.
    Nothing,
    /// The worker is at it.
    Busy,
    /// Words to pass on, and what they are for.
    Words(String, &'static str),
    /// A sentence.
    Said(String),
    /// Why it was not done.
    Refused(String),
    /// A code for another phone's camera, with this phone's six words.
    Code {
        side: usize,
        dark: String,
        fingerprint: String,
    },
}

/// Asking the worker, and showing what it says.
#[derive(Clone, Copy)]
pub struct Sharing {
    pub sync: Sync,
    pub shown: RwSignal<Shown>,
    /// "on" or "off", as the switch shows it.
    on: RwSignal<&'static str>,
}

impl Sharing {
    pub fn now() -> Self {
        expect_context::<Self>()
    }

    /// Asks, and shows what `then` makes of the answer; a refusal is shown as it
    /// is.
    pub fn ask(self, ask: Ask, then: fn(Answer) -> Shown) {
        self.ask_with(ask, None, then);
    }

    /// As [`Self::ask`], for what needs the server: who asks for it wants to send
    /// and fetch, so that is switched on first.
    pub fn ask_server(self, ask: Ask, then: fn(Answer) -> Shown) {
        self.shown.set(Shown::Busy);
        spawn_local(async move {
            let answered = async {
                if self.on.get_untracked() == "off" {
                    self.sync.ask(Ask::SwitchOn).await?;
                    self.on.set("on");
                }
                self.sync.ask(ask).await
            };
            self.shown.set(match answered.await {
                Ok(answer) => then(answer),
                Err(sentence) => Shown::Refused(sentence),
            });
        });
    }

    /// As [`Self::ask`], with bytes.
    pub fn ask_with(self, ask: Ask, bytes: Option<Vec<u8>>, then: fn(Answer) -> Shown) {
        self.shown.set(Shown::Busy);
        spawn_local(async move {
            self.shown.set(match self.sync.ask_with(ask, bytes).await {
                Ok((answer, _)) => then(answer),
                Err(sentence) => Shown::Refused(sentence),
            });
        });
    }
}

/// The name of whom a notebook is about.
pub fn of_whom(desk: Desk, of: Option<Subject>) -> String {
    match of {
        Some(Subject::Club) => "The club".to_owned(),
        Some(Subject::Hitter(id)) => hitter_name(desk, id),
        None => "A notebook on its way".to_owned(),
    }
}

fn hitter_name(desk: Desk, id: RecordId) -> String {
    desk.hitters.with(|all| {
        let hitter = all.iter().find(|hitter| hitter.head.id == id);
        hitter.map_or("A hitter".to_owned(), |hitter| hitter.name.get().clone())
    })
}

/// The page.
pub fn page() -> AnyView {
    let sync = expect_context::<Sync>();
    let shown = RwSignal::new(Shown::Nothing);
    let on = RwSignal::new(if is_switched_on() { "on" } else { "off" });
    let sharing = Sharing { sync, shown, on };
    provide_context(sharing);
    if is_switched_on() {
        // What the worker told before this screen was opened.
        spawn_local(async move {
            if let Err(sentence) = sync.ask(Ask::Tell).await {
                shown.set(Shown::Refused(sentence));
            }
        });
    }
    group(vec![
        // Between the page's heading and those of its parts.
        view! { <h2 class="unseen">"Other phones"</h2> }.into_any(),
        switch(sharing),
        live(move || result(&shown.get())),
        members::requests(),
        heading("Share"),
        joining::give(),
        heading("Join"),
        joining::take(),
        heading("Notebooks"),
        members::list(),
        fold("Without any network", codes::view),
        fold("Recovery sheet", sheet::view),
        line("line", WHO_CAN_READ),
    ])
}

const WHO_CAN_READ: &str = "What is shared is sealed on this phone. Whoever runs the server carries \
                            it and cannot read it. Taking a phone off protects what is written \
                            from then on; what it has already, it keeps.";

/// State, on and off, and stopping a long catch-up.
fn switch(sharing: Sharing) -> AnyView {
    let Sharing { sync, shown, on } = sharing;
    let set = move |wanted: &'static str| {
        shown.set(Shown::Busy);
        spawn_local(async move {
            let ask = match wanted {
                "on" => Ask::SwitchOn,
                _ => Ask::SwitchOff,
            };
            match sync.ask(ask).await {
                Ok(_) => {
                    on.set(wanted);
                    shown.set(Shown::Nothing);
                }
                Err(sentence) => shown.set(Shown::Refused(sentence)),
            }
        });
    };
    let more = move || match sync.state.get() {
        SyncState::CatchingUp { done, of } => group(vec![
            progress(done, of),
            act(
                "Stop for now",
                "wide",
                Callback::new(move |()| sharing.ask(Ask::Pause, |_| Shown::Nothing)),
            ),
        ]),
        SyncState::Paused { done, of } => group(vec![
            progress(done, of),
            act(
                "Go on",
                "wide",
                Callback::new(move |()| sharing.ask(Ask::GoOn, |_| Shown::Nothing)),
            ),
        ]),
        SyncState::Waiting { reached: false, .. } | SyncState::Attention { .. } => act(
            "Try again now",
            "wide",
            Callback::new(move |()| sharing.ask(Ask::GoOn, |_| Shown::Nothing)),
        ),
        _ => group(vec![]),
    };
    group(vec![
        in_step_line("finding"),
        live(more),
        choice(
            "Send and fetch by itself",
            vec![("off", "Off"), ("on", "On")],
            on.into(),
            Callback::new(set),
        ),
    ])
}

fn progress(done: u32, of: u32) -> AnyView {
    view! {
        <progress aria-label="Catching up" max=of.to_string() value=done.to_string()></progress>
    }
    .into_any()
}

/// What the last touch led to.
fn result(shown: &Shown) -> AnyView {
    match shown {
        Shown::Nothing => group(vec![]),
        Shown::Busy => said("line", "One moment…"),
        Shown::Said(sentence) => said("finding", sentence.clone()),
        Shown::Refused(sentence) => refusal(sentence.clone()),
        Shown::Words(words, what_for) => group(vec![
            said("line", *what_for),
            twelve(words),
            act(
                "Done with the words",
                "wide",
                Callback::new(|()| Sharing::now().shown.set(Shown::Nothing)),
            ),
        ]),
        Shown::Code {
            side,
            dark,
            fingerprint,
        } => codes::drawn(*side, dark, fingerprint),
    }
}

/// Words with their numbers, to be read out or written down.
fn twelve(words: &str) -> AnyView {
    let items: Vec<AnyView> = words
        .split(' ')
        .map(|word| view! { <li>{word.to_owned()}</li> }.into_any())
        .collect();
    view! { <ol class="words">{items}</ol> }.into_any()
}
