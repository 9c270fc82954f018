//! The pages of the book and their addresses. They have a wasm of their own, so
//! a link from the first page to one of them opens a document.

use leptos::prelude::*;
use leptos_router::hooks::use_location;

/// A page of the book. Those about a hitter are about the chosen one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leaf {
    /// Hitters and groups.
    Roster,
    /// One hitter: where the work is, what was tried, what changed.
    Hitter,
    /// The swing check, item by item or as a list.
    Check,
    /// The coach's own items and their order.
    Items,
    /// Drill cards.
    Cards,
    /// The count: measured, played, compared.
    Tempo,
    /// A practice, ball by ball.
    Session,
    /// Practices of before.
    Sessions,
    /// Sharing with other phones.
    Sharing,
}

impl Leaf {
    /// Every page.
    pub const ALL: [Self; 9] = [
        Self::Roster,
        Self::Hitter,
        Self::Check,
        Self::Items,
        Self::Cards,
        Self::Tempo,
        Self::Session,
        Self::Sessions,
        Self::Sharing,
    ];

    /// Its address.
    pub const fn path(self) -> &'static str {
        match self {
            Self::Roster => "/book/roster",
            Self::Hitter => "/book/hitter",
            Self::Check => "/book/check",
            Self::Items => "/book/items",
            Self::Cards => "/book/cards",
            Self::Tempo => "/book/tempo",
            Self::Session => "/book/session",
            Self::Sessions => "/book/sessions",
            Self::Sharing => "/book/sharing",
        }
    }

    /// Its name on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Roster => "Roster",
            Self::Hitter => "Hitter",
            Self::Check => "Swing check",
            Self::Items => "Check items",
            Self::Cards => "Drill cards",
            Self::Tempo => "Tempo",
            Self::Session => "Session",
            Self::Sessions => "Earlier sessions",
            Self::Sharing => "Sharing",
        }
    }

    /// The page of an address; the roster when nobody knows it.
    pub fn from_path(path: &str) -> Self {
        let known = |leaf: &Self| leaf.path() == path.trim_end_matches('/');
        Self::ALL.into_iter().find(known).unwrap_or(Self::Roster)
    }

    /// The page shown now.
    pub fn now() -> Memo<Self> {
        let path = use_location().pathname;
        Memo::new(move |_| Self::from_path(&path.get()))
    }
}

/// A link that looks like a button. Into the book from the first page, and back,
/// it opens another document, which the router must leave alone.
pub fn way(to: &'static str, label: &'static str, class: &'static str, is_here: bool) -> AnyView {
    link(to.to_owned(), label.to_owned(), class, is_here)
}

/// The question of an address of the drill cards that names one.
pub const CARD: &str = "card";

/// A link to one built-in drill card, from a page of the book.
pub fn way_to_card(id: &str, title: &str) -> AnyView {
    let to = format!("{}?{CARD}={id}", Leaf::Cards.path());
    link(to, format!("Drill card: {title}"), "", true)
}

fn link(to: String, label: String, class: &'static str, is_here: bool) -> AnyView {
    view! {
        <a class=format!("way {class}") href=to rel=(!is_here).then_some("external")>
            {label}
        </a>
    }
    .into_any()
}
