//! Who has which notebook, and phones that ask to be let in.

use super::joining::{id_of, role_choice, role_of};
use super::{Sharing, Shown, of_whom, role_name};
use crate::device::files;
use crate::device::sync_messages::{Answer, Ask, JoinRequest, Member, Role, SharedNotebook};
use crate::parts::{act, group, line, live, refusal, small_heading};
use crate::state::Desk;
use crate::words::{counted, when_ms};
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// Phones that ask to be let in.
pub fn requests() -> AnyView {
    let sync = Sharing::now().sync;
    live(move || group(sync.requests.get().iter().map(request).collect()))
}

fn request(asks: &JoinRequest) -> AnyView {
    let desk = expect_context::<Desk>();
    let sharing = Sharing::now();
    let name = asks.request.clone();
    let refused = name.clone();
    let text = format!(
        "A phone asks to join {} as {}. On its screen must stand: {}.",
        of_whom(desk, asks.of),
        role_name(asks.role),
        asks.fingerprint
    );
    let parts = vec![
        line("line caution", text),
        act(
            "The words are the same: let it in",
            "wide",
            Callback::new(move |()| {
                let request = name.clone();
                sharing.ask(Ask::Admit { request }, |_| {
                    Shown::Said("It is let in.".to_owned())
                });
            }),
        ),
        act(
            "Do not let it in",
            "wide",
            Callback::new(move |()| {
                let request = refused.clone();
                sharing.ask(Ask::Refuse { request }, |_| {
                    Shown::Said("It is not let in.".to_owned())
                });
            }),
        ),
    ];
    view! { <div class="item" role="group" aria-label="A phone asks to join">{parts}</div> }
        .into_any()
}

/// The notebooks of this phone that are shared.
pub fn list() -> AnyView {
    let sync = Sharing::now().sync;
    live(move || {
        let notebooks = sync.notebooks.get();
        match notebooks.is_empty() {
            true => line("line", "None is shared."),
            false => group(notebooks.iter().map(one).collect()),
        }
    })
}

fn one(notebook: &SharedNotebook) -> AnyView {
    let desk = expect_context::<Desk>();
    let sharing = Sharing::now();
    let title = of_whom(desk, notebook.of);
    let mut parts = vec![
        small_heading(title.clone()),
        line("line", standing(notebook)),
    ];
    parts.extend(notebook.trouble.clone().map(refusal));
    if notebook.clash {
        let go_on = move |()| sharing.ask(Ask::GoOnAsNew, again);
        parts.push(act("Go on as a new phone", "wide", Callback::new(go_on)));
    }
    let members = notebook.members.iter();
    parts.extend(members.map(|one| member(notebook, one)));
    let id = notebook.notebook.clone();
    let export = move |()| {
        let notebook = id.clone();
        sharing.shown.set(Shown::Busy);
        spawn_local(async move { sharing.shown.set(hand_out(sharing, notebook).await) });
    };
    if notebook.role.is_some() {
        parts.push(act("As a sealed file", "quiet", Callback::new(export)));
    }
    view! { <div class="item" role="group" aria-label=title>{parts}</div> }.into_any()
}

/// Loads the page again, which has the old identity.
fn again(_: Answer) -> Shown {
    // What a browser that cannot would say, it says by itself.
    let _ = window().location().reload();
    Shown::Nothing
}

async fn hand_out(sharing: Sharing, notebook: String) -> Shown {
    match sharing
        .sync
        .ask_with(Ask::WriteFile { notebook }, None)
        .await
    {
        Ok((Answer::File { name }, bytes)) => match files::hand_out(&name, &bytes).await {
            Ok(()) => Shown::Said(format!(
                "{name} can be read by members\u{2019} phones only."
            )),
            Err(sentence) => Shown::Refused(sentence),
        },
        Ok(_) => Shown::Nothing,
        Err(sentence) => Shown::Refused(sentence),
    }
}

/// How a notebook stands, in a sentence or two.
fn standing(notebook: &SharedNotebook) -> String {
    if notebook.joining {
        // Members are known where this phone was one of them.
        let by = match notebook.members.is_empty() {
            true => "",
            false => " by a new pass, or by the recovery sheet if it was the owner",
        };
        return format!(
            "Waits to be let in{by}. Six words of this phone: {}.",
            notebook.fingerprint
        );
    }
    let Some(role) = notebook.role else {
        return "This phone was taken off. What it has, it keeps; nothing new comes.".to_owned();
    };
    let mut text = format!("This phone: {}", role_name(role));
    if notebook.mine {
        text += ", owner";
    }
    text += ". ";
    text += &match (notebook.waiting, notebook.in_step_ms) {
        (0, Some(at_ms)) => format!("In step, {}.", when_ms(at_ms)),
        (0, None) => "Not sent yet.".to_owned(),
        (n, _) => format!(
            "{} to be sent.",
            counted(n as usize, "change waits", "changes wait")
        ),
    };
    text
}

fn member(notebook: &SharedNotebook, member: &Member) -> AnyView {
    let sharing = Sharing::now();
    let whose = match member.this_device {
        true => "this phone",
        false => "another phone",
    };
    let mut text = format!(
        "{}, {whose}. Six words: {}",
        role_name(member.role),
        member.fingerprint
    );
    if member.owner {
        text += ". Owner";
    }
    if member.leaving {
        text += ". A change is under way";
    }
    let mut parts = vec![line("line", text)];
    if notebook.mine && !member.this_device && !member.leaving {
        let (of, device) = (notebook.notebook.clone(), member.device.clone());
        let (of_too, device_too) = (of.clone(), device.clone());
        if member.role != Role::RecoverySheet {
            parts.push(role_of_member(sharing, &of, member));
        }
        parts.push(act(
            "Take this phone off",
            "quiet",
            Callback::new(move |()| {
                let ask = Ask::TakeOff {
                    notebook: of.clone(),
                    device: device.clone(),
                };
                sharing.ask(ask, |_| {
                    Shown::Said(
                        "Noted. It protects what is written from now on; what that phone has already, it keeps.".to_owned(),
                    )
                });
            }),
        ));
        parts.push(act(
            "Make it the owner",
            "quiet",
            Callback::new(move |()| {
                let ask = Ask::HandOver {
                    notebook: of_too.clone(),
                    device: device_too.clone(),
                };
                sharing.ask(ask, |_| {
                    Shown::Said("Noted: it becomes the owner.".to_owned())
                });
            }),
        ));
    }
    group(parts)
}

/// What a member may do, to be changed by the owner.
fn role_of_member(sharing: Sharing, notebook: &str, member: &Member) -> AnyView {
    let (notebook, device) = (notebook.to_owned(), member.device.clone());
    let change = move |id: &'static str| {
        let ask = Ask::ChangeRole {
            notebook: notebook.clone(),
            device: device.clone(),
            role: role_of(id),
        };
        sharing.ask(ask, |_| Shown::Said("Noted: its role changes.".to_owned()));
    };
    role_choice(
        "Role",
        RwSignal::new(id_of(member.role)),
        Callback::new(change),
    )
}
