//! Photos and clips of an item, on this phone only, and the room that they take.

use super::Page;
use crate::device::attachments::Attachment;
use crate::device::clip::{address_of, forget_address};
use crate::parts::{act_spoken, group, line, live, live_line};
use crate::state::{LARGEST_BYTES, made_ms, megabytes};
use crate::words::{counted, when_ms};
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;
use web_sys::{File, HtmlInputElement};

/// The button that opens an item's photos and clips, and they themselves.
pub fn of_item(item: String) -> AnyView {
    let page = expect_context::<Page>();
    let id = item.clone();
    let is_open = Signal::derive(move || {
        page.attaching
            .with(|open| open.as_deref() == Some(id.as_str()))
    });
    let id = item.clone();
    let n = Signal::derive(move || {
        page.attached
            .list
            .with(|list| list.iter().filter(|kept| kept.item == id).count())
    });
    let label = Signal::derive(move || match n.get() {
        0 => "Photo or clip".to_owned(),
        n => format!("Photos and clips: {n}"),
    });
    let id = item.clone();
    let toggle = Callback::new(move |()| {
        let now = (!is_open.get_untracked()).then(|| id.clone());
        page.attaching.set(now);
    });
    let inside = live(move || {
        if is_open.get() {
            opened(page, item.clone())
        } else {
            group(Vec::new())
        }
    });
    group(vec![
        act_spoken(label, label, "quiet", Some(is_open), toggle),
        inside,
    ])
}

fn opened(page: Page, item: String) -> AnyView {
    let id = item.clone();
    let take = Callback::new(move |file: SendFile| {
        let item = id.clone();
        page.looking.with_look(move |check| {
            page.attached.add(check, item.clone(), file.get());
        });
    });
    let list = live(move || {
        let shown = page.attached.list.with(|list| {
            let of_item = list.iter().rev().filter(|kept| kept.item == item);
            of_item.map(|kept| one(page, kept)).collect::<Vec<_>>()
        });
        group(shown)
    });
    let limit = format!(
        "Stays on this phone and is never sent. Up to {} each. Film with a fixed phone out of the ball's way; ask before you film a minor.",
        megabytes(LARGEST_BYTES)
    );
    view! {
        <div class="attached">
            {file_inputs(take)} {line("line", limit)}
            {live_line("line", move || page.attached.room_sentence())} {list}
        </div>
    }
    .into_any()
}

/// A file on its way to where it is kept.
#[derive(Clone, Copy)]
pub struct SendFile(StoredValue<File, LocalStorage>);

impl SendFile {
    /// The file.
    pub fn get(self) -> File {
        self.0.get_value()
    }
}

/// The phone's own camera, and its picker.
pub fn file_inputs(on_file: Callback<SendFile>) -> AnyView {
    // With "capture" a phone opens its camera and offers nothing else.
    group(vec![
        file_input("Take with the camera", Some("environment"), on_file),
        file_input("Choose a photo or clip", None, on_file),
    ])
}

fn file_input(
    label: &'static str,
    capture: Option<&'static str>,
    on_file: Callback<SendFile>,
) -> AnyView {
    let picked = move |event: leptos::ev::Event| {
        let input: Option<HtmlInputElement> =
            event.target().and_then(|target| target.dyn_into().ok());
        let Some(input) = input else {
            return;
        };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            on_file.run(SendFile(StoredValue::new_local(file)));
        }
        // So that the same file can be picked again.
        input.set_value("");
    };
    view! {
        <label>
            {label}
            <input
                type="file"
                accept="image/*,video/*"
                capture=capture
                on:change=picked
            />
        </label>
    }
    .into_any()
}

fn one(page: Page, kept: &Attachment) -> AnyView {
    let id = kept.id;
    let when = when_ms(made_ms(id));
    let is_clip = kept.is_clip();
    let what = if is_clip { "Clip" } else { "Photo" };
    let told = format!("{what}, {when}, {}", megabytes(kept.blob.size()));
    let picture = if is_clip {
        None
    } else {
        address_of(&kept.blob).map(|address| {
            let alt = told.clone();
            let shown = address.clone();
            on_cleanup(move || forget_address(&address));
            view! { <img src=shown alt=alt /> }.into_any()
        })
    };
    let step = is_clip.then(|| {
        let open = Callback::new(move |()| {
            let blob = page.attached.list.with_untracked(|list| {
                let known = list.iter().find(|known| known.id == id);
                known.map(|known| known.blob.clone())
            });
            page.clip.set(blob);
        });
        let spoken = Signal::stored(format!("Step through the clip of {when}"));
        act_spoken(
            Signal::stored("Frame by frame".to_owned()),
            spoken,
            "",
            None,
            open,
        )
    });
    let remove = Callback::new(move |()| page.attached.remove(id));
    let spoken = Signal::stored(format!("Take off: {told}"));
    let remove = act_spoken(
        Signal::stored("Take off".to_owned()),
        spoken,
        "quiet",
        None,
        remove,
    );
    view! {
        <figure>
            {picture} <figcaption>{told}</figcaption> <div class="row">{step} {remove}</div>
        </figure>
    }
    .into_any()
}

/// Everything of this hitter that is kept on this phone, by item.
pub fn room() -> AnyView {
    let page = expect_context::<Page>();
    let list = live(move || {
        let shown = page.attached.list.with(|list| {
            let newest = list.iter().rev();
            newest.map(|kept| one(page, kept)).collect::<Vec<_>>()
        });
        if shown.is_empty() {
            line("line", "None yet: they are added at an item.")
        } else {
            let n = counted(shown.len(), "photo or clip", "photos and clips");
            group(vec![line("line", n), group(shown)])
        }
    });
    group(vec![
        live_line("line", move || page.attached.room_sentence()),
        line(
            "line",
            "They stay on this phone: they are not in the notebook, not shared and not in its backup.",
        ),
        list,
    ])
}
