//! Without any network: codes that one phone shows and the other reads, and
//! sealed files.

use super::joining::{id_of, role_choice, role_of};
use super::{Sharing, Shown, role_name};
use crate::device::camera::Camera;
use crate::device::files;
use crate::device::subject::Subject;
use crate::device::sync_messages::{Answer, Ask, JoinRequest, Role};
use crate::parts::{act, group, line, live, live_line, refusal, small_heading};
use crate::state::Desk;
use crate::words::counted;
use leptos::html::{Input, Video};
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;

/// Between two pictures.
const PAUSE: Duration = Duration::from_millis(250);

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wanted {
    /// A new phone's request, on the owner's phone.
    Request,
    /// The sealed pass, on the new phone.
    Pass,
}

pub fn view() -> AnyView {
    let sharing = Sharing::now();
    let wanted = RwSignal::new(None::<Wanted>);
    let seen = RwSignal::new(None::<JoinRequest>);
    let role = RwSignal::new(id_of(Role::Parent));
    let show = move |()| {
        // The owner's phone says in which role it is let in.
        let role = Role::Parent;
        sharing.ask(Ask::ShowRequest { role }, code);
    };
    group(vec![
        line("line", STEPS),
        small_heading("On the new phone"),
        act("1. Show its code", "wide", Callback::new(show)),
        act(
            "3. Read the pass off the other screen",
            "wide",
            Callback::new(move |()| wanted.set(Some(Wanted::Pass))),
        ),
        small_heading("On the phone that has the notebook"),
        role_choice(
            "The new phone is a",
            role,
            Callback::new(move |id| role.set(id)),
        ),
        act(
            "2. Read the new phone\u{2019}s code",
            "wide",
            Callback::new(move |()| wanted.set(Some(Wanted::Request))),
        ),
        live(move || match wanted.get() {
            Some(what) => looking(what, wanted, seen, role),
            None => group(vec![]),
        }),
        live(move || {
            seen.get()
                .map_or_else(|| group(vec![]), |asks| compare(&asks, seen))
        }),
        small_heading("4. Carry the notebook as a file"),
        line(
            "line",
            "Make it under \u{201c}Notebooks\u{201d}, hand it over, and read it here.",
        ),
        file_in(sharing),
    ])
}

const STEPS: &str = "Two phones side by side: the new one shows a code, the other reads it and shows \
                     a pass, the new one reads that. Then a file carries the notebook.";

/// A code that is shown, or what stands in its place.
fn code(answer: Answer) -> Shown {
    match answer {
        Answer::Code {
            side,
            dark,
            fingerprint,
        } => Shown::Code {
            side,
            dark,
            fingerprint,
        },
        _ => Shown::Nothing,
    }
}

/// A code, black on white in every look, with its quiet zone.
pub fn drawn(side: usize, dark: &str, fingerprint: &str) -> AnyView {
    let mut path = String::new();
    for (place, module) in dark.bytes().enumerate() {
        if module == b'1' {
            let (x, y) = (place % side + 4, place / side + 4);
            path += &format!("M{x} {y}h1v1h-1z");
        }
    }
    let box_side = side + 8;
    view! {
        <figure>
            <svg
                class="code"
                viewBox=format!("0 0 {box_side} {box_side}")
                role="img"
                aria-label="A code for the other phone's camera"
                shape-rendering="crispEdges"
            >
                <rect width=box_side.to_string() height=box_side.to_string() fill="#ffffff" />
                <path d=path fill="#000000" />
            </svg>
            <figcaption>{format!("Six words to compare: {fingerprint}.")}</figcaption>
        </figure>
    }
    .into_any()
}

/// The camera until it has seen what is wanted.
fn looking(
    what: Wanted,
    wanted: RwSignal<Option<Wanted>>,
    seen: RwSignal<Option<JoinRequest>>,
    role: RwSignal<&'static str>,
) -> AnyView {
    let sharing = Sharing::now();
    let desk = expect_context::<Desk>();
    let video = NodeRef::<Video>::new();
    let trouble = RwSignal::new(String::new());
    let camera: Rc<RefCell<Option<Camera>>> = Rc::default();
    let open = StoredValue::new(true);
    on_cleanup(move || open.set_value(false));
    let taken = move |bytes: Vec<u8>| {
        wanted.set(None);
        match what {
            Wanted::Pass => sharing.ask_with(Ask::ReadPass, Some(bytes), |answer| match answer {
                Answer::Requested { .. } => {
                    Shown::Said("The pass is taken. Now read the file.".to_owned())
                }
                _ => Shown::Nothing,
            }),
            Wanted::Request => {
                read_request(sharing, desk, bytes, (seen, role_of(role.get_untracked())))
            }
        }
    };
    Effect::new(move |_| {
        let Some(video) = video.get() else { return };
        let camera = camera.clone();
        spawn_local(async move {
            match Camera::on(video).await {
                Err(sentence) => trouble.set(sentence),
                Ok(on) => {
                    *camera.borrow_mut() = Some(on);
                    look(sharing, camera, open, taken).await;
                }
            }
        });
    });
    view! {
        <video class="finder" node_ref=video muted playsinline aria-label="What the camera sees"></video>
        {live(move || match trouble.get() {
            text if text.is_empty() => line("line", "Hold the phone over the code of the other screen."),
            text => refusal(text),
        })}
        {act("Stop looking", "wide", Callback::new(move |()| wanted.set(None)))}
    }
    .into_any()
}

/// Looks at picture after picture.
async fn look(
    sharing: Sharing,
    camera: Rc<RefCell<Option<Camera>>>,
    open: StoredValue<bool>,
    taken: impl FnOnce(Vec<u8>),
) {
    // The place on the screen is gone, and with it the wish to look.
    while open.try_get_value() == Some(true) {
        let picture = camera.borrow().as_ref().and_then(Camera::picture);
        if let Some((width, height, grey)) = picture {
            let ask = Ask::LookForCode { width, height };
            if let Ok((Answer::Seen { found: true }, bytes)) =
                sharing.sync.ask_with(ask, Some(grey)).await
            {
                camera.borrow_mut().take();
                taken(bytes);
                return;
            }
        }
        pause().await;
    }
    camera.borrow_mut().take();
}

async fn pause() {
    let waited = js_sys::Promise::new(&mut |resolve, _| {
        set_timeout(
            move || {
                let _ = resolve.call0(&wasm_bindgen::JsValue::NULL);
            },
            PAUSE,
        );
    });
    // A timer does not fail.
    let _ = wasm_bindgen_futures::JsFuture::from(waited).await;
}

fn read_request(
    sharing: Sharing,
    desk: Desk,
    bytes: Vec<u8>,
    (seen, role): (RwSignal<Option<JoinRequest>>, Role),
) {
    let Some(id) = desk.chosen.get_untracked() else {
        sharing
            .shown
            .set(Shown::Refused("Choose a hitter first.".to_owned()));
        return;
    };
    let ask = Ask::ReadRequest {
        of: Subject::Hitter(id),
        role,
    };
    spawn_local(async move {
        match sharing.sync.ask_with(ask, Some(bytes)).await {
            Ok((Answer::Request(asks), _)) => seen.set(Some(asks)),
            Ok(_) => {}
            Err(sentence) => sharing.shown.set(Shown::Refused(sentence)),
        }
    });
}

/// The request that was read, to compare before the pass is shown.
fn compare(asks: &JoinRequest, seen: RwSignal<Option<JoinRequest>>) -> AnyView {
    let sharing = Sharing::now();
    let desk = expect_context::<Desk>();
    let request = asks.request.clone();
    group(vec![
        line(
            "line caution",
            format!(
                "{} for {}. On the new phone must stand: {}.",
                role_name(asks.role),
                super::of_whom(desk, asks.of),
                asks.fingerprint
            ),
        ),
        act(
            "The words are the same: show the pass",
            "wide",
            Callback::new(move |()| {
                seen.set(None);
                let request = request.clone();
                sharing.ask(Ask::SealPass { request }, code);
            }),
        ),
    ])
}

/// Reading a sealed file.
fn file_in(sharing: Sharing) -> AnyView {
    let input = NodeRef::<Input>::new();
    let told = RwSignal::new(String::new());
    let read = move |_| {
        let Some(input) = input.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let sentence = match files::picked(&input).await {
                Err(sentence) => sentence,
                Ok(None) => return,
                Ok(Some(bytes)) => match sharing.sync.ask_with(Ask::ReadFile, Some(bytes)).await {
                    Ok((Answer::Read { entries }, _)) => format!(
                        "Read: {}.",
                        counted(entries as usize, "new entry", "new entries")
                    ),
                    Ok(_) => String::new(),
                    Err(sentence) => sentence,
                },
            };
            told.set(sentence);
        });
    };
    view! {
        <label>
            <span>"Read a sealed file"</span>
            <input type="file" node_ref=input on:change=read />
        </label>
        {live_line("line", move || told.get())}
    }
    .into_any()
}
