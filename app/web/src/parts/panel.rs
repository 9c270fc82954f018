//! A panel of the home screen: a summary at rest, and the same panel over the
//! whole screen when opened, in place.

use super::{act_spoken, after_paint, group, live};
use leptos::html::H2;
use leptos::prelude::*;
use leptos_router::hooks::{use_location, use_navigate};

/// The panels, each with an address of its own, so that the phone's back
/// gesture closes it and a reload finds it again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// No panel is opened.
    Home,
    /// The hitters.
    Hitters,
    /// The machine set-up.
    SetUp,
    /// The swing check.
    SwingCheck,
    /// The count.
    Count,
    /// Settings.
    Settings,
}

impl Place {
    /// Its address.
    pub const fn path(self) -> &'static str {
        match self {
            Self::Home => "/",
            Self::Hitters => "/hitters",
            Self::SetUp => "/set-up",
            Self::SwingCheck => "/swing-check",
            Self::Count => "/count",
            Self::Settings => "/settings",
        }
    }

    /// The place of an address; an address nobody knows is home.
    pub fn from_path(path: &str) -> Self {
        [
            Self::Hitters,
            Self::SetUp,
            Self::SwingCheck,
            Self::Count,
            Self::Settings,
        ]
        .into_iter()
        .find(|place| place.path() == path.trim_end_matches('/'))
        .unwrap_or(Self::Home)
    }

    /// The place shown now.
    pub fn now() -> Memo<Self> {
        let path = use_location().pathname;
        Memo::new(move |_| Self::from_path(&path.get()))
    }

    /// Goes there.
    pub fn open(self) -> impl Fn() + Clone {
        let navigate = use_navigate();
        move || navigate(self.path(), leptos_router::NavigateOptions::default())
    }
}

/// One panel: where it opens, its heading, what stands beside the heading, what
/// is shown at rest and what when it is opened.
pub fn panel(
    place: Place,
    title: &'static str,
    beside: Option<fn() -> AnyView>,
    summary: fn() -> AnyView,
    detail: fn() -> AnyView,
) -> AnyView {
    let now = Place::now();
    let opened = Memo::new(move |_| now.get() == place);
    let hidden = move || !matches!(now.get(), Place::Home) && !opened.get();
    let heading = NodeRef::<H2>::new();
    let is_gone = RwSignal::new(false);
    Effect::new(move |before: Option<bool>| {
        let is_open = opened.get();
        if is_open {
            is_gone.set(false);
        }
        // Not on the first run: a page that opens must not steal the focus.
        if before.is_some_and(|before| before != is_open) {
            let heading = heading.get_untracked();
            // Taking the focus has the browser lay the page out, and taking down what
            // was opened takes long, so the change is painted first.
            after_paint(move || {
                // An element that cannot take the focus leaves it where it is.
                let _ = heading.map(|heading| heading.focus());
                if opened.try_get_untracked() == Some(false) {
                    is_gone.set(true);
                }
            });
        }
        is_open
    });
    let is_made = Memo::new(move |before: Option<&bool>| {
        let is_gone = is_gone.get();
        opened.get() || before.is_some_and(|before| *before && !is_gone)
    });
    let open = place.open();
    let close = Place::Home.open();
    let toggle = move |()| {
        if opened.get_untracked() {
            close()
        } else {
            open()
        }
    };
    let word = move || if opened.get() { "Close" } else { "Open" };
    view! {
        <section
            class=format!("panel {}", place.path().trim_start_matches('/'))
            class:opened=opened
            hidden=hidden
            aria-label=title
        >
            <div class="panel-head">
                <h2 tabindex="-1" node_ref=heading>
                    {title}
                </h2>
                {beside.map(|beside| beside())}
                {act_spoken(Signal::derive(move || word().to_owned()), Signal::derive(move || format!("{} {title}", word())), "quiet", Some(opened.into()), Callback::new(toggle))}
            </div>
            {live(move || if opened.get() { group(vec![]) } else { summary() })}
            <div class="spread" hidden=move || !opened.get()>
                {live(move || if is_made.get() { detail() } else { group(vec![]) })}
            </div>
        </section>
    }
    .into_any()
}
