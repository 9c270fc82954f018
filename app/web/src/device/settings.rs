//! Small choices of this phone alone, in local storage.

use flight::UnitSystem;
use gloo_storage::{LocalStorage, Storage as _};
use notebook::RecordId;

const THEME: &str = "stridebook.theme";
const UNITS: &str = "stridebook.units";
const HITTER: &str = "stridebook.hitter";
const ENVIRONMENT: &str = "stridebook.environment";
const FEED: &str = "stridebook.feed";
const ASKED: &str = "stridebook.asked-to-keep";
const AT_HAND: &str = "stridebook.equipment-at-hand";
const CARD_DRAFT: &str = "stridebook.card-draft";

/// How the screen looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// As the phone is set.
    Phone,
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
    /// Black on white at the highest contrast, for bright sun.
    Sun,
}

impl Theme {
    /// Every theme.
    pub const ALL: [Self; 4] = [Self::Phone, Self::Light, Self::Dark, Self::Sun];

    /// Stable id; also the value of the page's `data-theme`.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Phone => "phone",
            Self::Light => "light",
            Self::Dark => "dark",
            Self::Sun => "sun",
        }
    }

    /// What the user reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Phone => "Phone",
            Self::Light => "Light",
            Self::Dark => "Dark",
            Self::Sun => "Sun",
        }
    }

    fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|theme| theme.id() == id)
    }
}

/// The theme chosen last.
pub fn theme() -> Theme {
    read(THEME)
        .and_then(|id| Theme::from_id(&id))
        .unwrap_or(Theme::Phone)
}

/// Keeps the theme and shows it.
pub fn set_theme(theme: Theme) {
    keep(THEME, theme.id());
    show_theme(theme);
}

/// Shows the theme.
pub fn show_theme(theme: Theme) {
    let root = web_sys::window()
        .and_then(|window| window.document())
        .and_then(|document| document.document_element());
    if let Some(root) = root {
        // Setting an attribute of the root element cannot fail.
        let _ = root.set_attribute("data-theme", theme.id());
    }
}

/// The systems of units: stable id, what the user reads.
pub const UNIT_SYSTEMS: [(UnitSystem, &str, &str); 2] = [
    (UnitSystem::Imperial, "imperial", "Feet, mph"),
    (UnitSystem::Metric, "metric", "Metres, km/h"),
];

/// The system of units chosen last.
pub fn units() -> UnitSystem {
    let id = read(UNITS);
    let known = UNIT_SYSTEMS
        .iter()
        .find(|known| id.as_deref() == Some(known.1));
    known.map_or(UnitSystem::Imperial, |known| known.0)
}

/// Remembers the system of units.
pub fn set_units(id: &str) {
    keep(UNITS, id);
}

/// The hitter chosen last on this phone.
pub fn chosen_hitter() -> Option<RecordId> {
    read(HITTER)?.parse().ok()
}

/// Remembers the chosen hitter.
pub fn choose_hitter(hitter: Option<RecordId>) {
    match hitter {
        Some(id) => keep(HITTER, &id.to_string()),
        None => LocalStorage::delete(HITTER),
    }
}

/// The environment counted in last.
pub fn environment() -> Option<String> {
    read(ENVIRONMENT)
}

/// Remembers the environment.
pub fn set_environment(id: &str) {
    keep(ENVIRONMENT, id);
}

/// The pitcher's hand or feed side used last.
pub fn feed() -> Option<String> {
    read(FEED)
}

/// Remembers the feed side.
pub fn set_feed(id: &str) {
    keep(FEED, id);
}

/// Whether the browser was asked to keep the data.
pub fn asked_to_keep() -> bool {
    read(ASKED).is_some()
}

/// Remembers that it was asked.
pub fn set_asked_to_keep() {
    keep(ASKED, "yes");
}

/// Ids of the equipment at hand, parted by blanks; none before the first touch.
pub fn equipment_at_hand() -> Option<String> {
    read(AT_HAND)
}

/// Remembers the equipment at hand.
pub fn set_equipment_at_hand(ids: &str) {
    keep(AT_HAND, ids);
}

/// The drill card that is being written.
pub fn card_draft() -> Option<String> {
    read(CARD_DRAFT)
}

/// Remembers the drill card that is being written; none when it was saved or
/// given up.
pub fn set_card_draft(draft: Option<&str>) {
    match draft {
        Some(draft) => keep(CARD_DRAFT, draft),
        None => LocalStorage::delete(CARD_DRAFT),
    }
}

/// What was typed into a form and is not saved yet, by the name of the form; none
/// when there is nothing.
pub fn typed(form: &str) -> Option<String> {
    read(&format!("stridebook.typed.{form}"))
}

/// Keeps what is typed into a form as it is typed; none once it is saved or given up.
pub fn set_typed(form: &str, text: Option<&str>) {
    let key = format!("stridebook.typed.{form}");
    match text {
        Some(text) => keep(&key, text),
        None => LocalStorage::delete(&key),
    }
}

/// The side a hitter of both sides stood on last, and the set being counted.
pub fn of_hitter(what: &str, hitter: RecordId) -> Option<String> {
    read(&format!("stridebook.{what}.{hitter}"))
}

/// Remembers something of one hitter.
pub fn set_of_hitter(what: &str, hitter: RecordId, value: &str) {
    keep(&format!("stridebook.{what}.{hitter}"), value);
}

fn read(key: &str) -> Option<String> {
    LocalStorage::get::<String>(key).ok()
}

/// A choice that cannot be remembered (storage switched off) still holds until
/// the page closes; it is not worth a message.
fn keep(key: &str, value: &str) {
    let _ = LocalStorage::set(key, value);
}
