//! How the session is logged, the screen kept on, and its end.

use crate::parts::{act, choice, group, line, name_field};
use crate::state::Desk;
use crate::state::names::session as name;
use crate::state::session::Practice;
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;
use web::device::awake;

/// What is set for the session as a whole.
pub fn view() -> AnyView {
    let practice = expect_context::<Practice>();
    group(vec![
        name_field(
            "Name of the session",
            Signal::derive(move || {
                let of = |s: &Option<notebook::Session>| s.as_ref().map(|s| s.name.get().clone());
                practice.session.with(of).unwrap_or_default()
            }),
            Callback::new(move |typed: String| rename(practice, &typed)),
        ),
        choice(
            "A touch on the fan is",
            vec![("sector", "Its sector"), ("point", "The point touched")],
            Signal::derive(move || match practice.choice(name::TOUCH).as_deref() {
                Some("point") => "point",
                _ => "sector",
            }),
            Callback::new(move |id| practice.choose(name::TOUCH, id)),
        ),
        screen_on(),
        act(
            "End the session",
            "wide",
            Callback::new(move |()| practice.end()),
        ),
        line(
            "line",
            "Every ball is on disk before it is said to be saved; a session can be left and gone on with at any time.",
        ),
    ])
}

/// Longest name of a session, in characters.
const LONGEST: usize = 40;

fn rename(practice: Practice, typed: &str) -> Result<(), String> {
    let typed = typed.trim();
    let length = typed.chars().count();
    if length > LONGEST || typed.chars().any(char::is_control) {
        return Err(format!(
            "Name of the session: up to {LONGEST} characters, and {length} were given. The name from before is kept."
        ));
    }
    practice.edit(|session, stamps| {
        session.name.set(typed.to_owned(), stamps);
    });
    Ok(())
}

fn screen_on() -> AnyView {
    let desk = expect_context::<Desk>();
    let on = RwSignal::new(awake::is_wanted());
    choice(
        "Keep the screen on",
        vec![("off", "As the phone does"), ("on", "On")],
        Signal::derive(move || if on.get() { "on" } else { "off" }),
        Callback::new(move |id| {
            on.set(id == "on");
            spawn_local(async move {
                if !awake::keep_on(id == "on").await {
                    desk.notes.say(
                        "This phone does not let the app keep the screen on just now. The log works all the same.",
                        None,
                    );
                }
            });
        }),
    )
}
