//! Giving a pass and taking one.

use super::{Sharing, Shown};
use crate::device::subject::Subject;
use crate::device::sync_messages::{Answer, Ask, Role};
use crate::parts::{act, choice, group, line, live, name_field, selection};
use crate::state::Desk;
use leptos::prelude::*;

/// How long a pass can be used, s: a day, so that a coach can give it at practice
/// and a parent take it at home.
const DAY_S: u64 = 86_400;

/// Roles that a phone can have in a hitter's notebook.
const ROLES: [(&str, &str, Role); 4] = [
    ("parent", "Parent", Role::Parent),
    ("player", "Player", Role::Player),
    ("coach", "Coach", Role::Coach),
    ("read-only", "Reads only", Role::ReadOnly),
];

/// A choice of these roles by their ids.
pub fn role_choice(
    label: &'static str,
    chosen: RwSignal<&'static str>,
    choose: Callback<&'static str>,
) -> AnyView {
    let roles = ROLES.map(|known| (known.0, known.1)).to_vec();
    choice(label, roles, chosen.into(), choose)
}

/// The role with that id; a parent's for an unknown one.
pub fn role_of(id: &str) -> Role {
    let known = ROLES.iter().find(|known| known.0 == id);
    known.map_or(Role::Parent, |known| known.2)
}

/// The id of a role; that of a parent where a pass cannot offer it.
pub fn id_of(role: Role) -> &'static str {
    let known = ROLES.iter().find(|known| known.2 == role);
    known.map_or(ROLES[0].0, |known| known.0)
}

/// A pass for one hitter's notebook, or for the club's.
pub fn give() -> AnyView {
    let desk = expect_context::<Desk>();
    let sharing = Sharing::now();
    let role = RwSignal::new(ROLES[0].0);
    let whom = RwSignal::new(desk.chosen.get_untracked());
    let hitters = move || {
        desk.hitters.with(|all| {
            let hitter =
                |hitter: &notebook::Hitter| (hitter.head.id.to_string(), hitter.name.get().clone());
            all.iter().map(hitter).collect::<Vec<_>>()
        })
    };
    let chosen = move || whom.get().map_or(String::new(), |id| id.to_string());
    let words = |answer| match answer {
        Answer::Words { words } => Shown::Words(words, FOR_ONE),
        _ => Shown::Nothing,
    };
    let for_hitter = move |()| {
        let Some(id) = whom.get_untracked() else {
            sharing
                .shown
                .set(Shown::Refused("Add a hitter first.".to_owned()));
            return;
        };
        let ask = Ask::MakePass {
            of: Subject::Hitter(id),
            role: role_of(role.get_untracked()),
            lives_s: DAY_S,
        };
        sharing.ask_server(ask, words);
    };
    let for_club = move |()| {
        let ask = Ask::MakePass {
            of: Subject::Club,
            role: Role::Coach,
            lives_s: DAY_S,
        };
        sharing.ask_server(ask, words);
    };
    group(vec![
        line("line", ONE_HITTER),
        selection(
            "Hitter",
            false,
            Signal::derive(hitters),
            Signal::derive(chosen),
            Callback::new(move |id: String| whom.set(id.parse().ok())),
        ),
        role_choice("For a", role, Callback::new(move |id| role.set(id))),
        act("Make a pass", "wide", Callback::new(for_hitter)),
        line("line", CLUB),
        act(
            "Make a pass for a coach of the club",
            "wide",
            Callback::new(for_club),
        ),
    ])
}

const ONE_HITTER: &str = "A pass opens one hitter\u{2019}s notebook to one phone. Give it only with \
                          the leave of the hitter, or of a minor\u{2019}s guardian.";
const CLUB: &str = "A coach of the club gets every hitter and the machines.";
const FOR_ONE: &str = "Twelve words for one phone, good for a day and used once. Read them out or \
                       write them down; do not send them by a message that others read.";

/// Joining by a pass.
pub fn take() -> AnyView {
    let sharing = Sharing::now();
    let typed = RwSignal::new(String::new());
    let join = move |()| {
        let words = typed.get_untracked();
        sharing.ask_server(Ask::TakePass { words }, |answer| match answer {
            Answer::Requested { fingerprint, .. } => Shown::Said(format!(
                "Asked to join. The owner\u{2019}s phone shows these six words, and lets this phone in once you have compared them: {fingerprint}."
            )),
            _ => Shown::Nothing,
        });
    };
    let empty = move || typed.with(|typed| typed.trim().is_empty());
    group(vec![
        name_field(
            "Twelve words of a pass",
            typed.into(),
            Callback::new(move |words: String| {
                typed.set(words);
                Ok(())
            }),
        ),
        live(move || match empty() {
            true => line("line", "Type the words with blanks between them."),
            false => act("Join", "wide", Callback::new(join)),
        }),
    ])
}
