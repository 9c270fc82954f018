//! A coach's own items and a coach's order: what an own item may be, and the
//! rule that merges built-in and own items into the list to show. No answers
//! here and no storage.

use crate::check::{Item, Phase, Skill, View};
use crate::text::{Limits, Unfit, tidied};
use crate::vocabulary::Sport;
use core::fmt;

/// Every own id begins so, and no built-in id does.
pub const OWN: &str = "own.";

/// The most characters of an id.
pub const LONGEST_ID: usize = 64;

/// Whether an id is one that a coach's phone made.
pub fn is_own(id: &str) -> bool {
    id.starts_with(OWN)
}

/// Whether a text may be the id of an item or card that a coach adds: [`OWN`]
/// and at least one more of a-z, 0-9, hyphen and full stop, up to
/// [`LONGEST_ID`] in all.
pub fn is_own_id(id: &str) -> bool {
    is_own(id) && id.len() > OWN.len() && is_id(id)
}

/// Whether a text may be an id at all.
pub(crate) fn is_id(id: &str) -> bool {
    let allowed = |c: u8| matches!(c, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.');
    (1..=LONGEST_ID).contains(&id.len()) && id.bytes().all(allowed)
}

/// An item that a coach wrote. Its id never changes meaning: another meaning is
/// another item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnItem {
    /// The stored id ([`is_own_id`]).
    pub id: String,
    /// The phase it belongs to.
    pub phase: Phase,
    /// What it is looked at in.
    pub skill: Skill,
    /// The only sport it is for; `None` for both.
    pub sport: Option<Sport>,
    /// What a "yes" says, 1 to 40 characters. It has to be put so that "yes"
    /// is good.
    pub title: String,
    /// Where to look from.
    pub view: View,
    /// What good looks like, up to 140 characters.
    pub good: String,
    /// What the fault looks like, up to 140 characters.
    pub fault: String,
    /// How to see it, up to 140 characters.
    pub how: String,
}

/// A text of an own item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemField {
    /// What a "yes" says.
    Title,
    /// What good looks like.
    Good,
    /// What the fault looks like.
    Fault,
    /// How to see it.
    How,
}

impl ItemField {
    /// Fewest and most characters.
    pub const fn range(self) -> (usize, usize) {
        match self {
            Self::Title => (1, 40),
            Self::Good | Self::Fault | Self::How => (0, 140),
        }
    }
}

impl fmt::Display for ItemField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Title => "Title",
            Self::Good => "What good looks like",
            Self::Fault => "What the fault looks like",
            Self::How => "How to see it",
        })
    }
}

/// Why an own item was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ItemError {
    /// The id is no own id.
    #[error(
        "Item: its id begins with \"{OWN}\" and has up to {LONGEST_ID} of a-z, 0-9, hyphen and full stop. Nothing was saved."
    )]
    Id,
    /// A text is too short, too long, or has too many accents on its letters.
    #[error("{field}: {least} to {most} characters are allowed, and {given} were given. What was there before is kept.", least = .field.range().0, most = .field.range().1)]
    Length {
        /// Which text.
        field: ItemField,
        /// Characters given, after tidying; code points when those are too many.
        given: usize,
    },
}

impl OwnItem {
    /// The item with its texts tidied, if its id and texts may be kept.
    pub fn checked(mut self) -> Result<Self, ItemError> {
        if !is_own_id(&self.id) {
            return Err(ItemError::Id);
        }
        let texts = [
            (ItemField::Title, &mut self.title),
            (ItemField::Good, &mut self.good),
            (ItemField::Fault, &mut self.fault),
            (ItemField::How, &mut self.how),
        ];
        for (field, text) in texts {
            let (least, most) = field.range();
            let limits = Limits {
                least,
                most,
                most_code_points: 10 * most,
            };
            *text = tidied(text, limits).map_err(|unfit| match unfit {
                Unfit::Short { given } | Unfit::Long { given } | Unfit::Marks { given } => {
                    ItemError::Length { field, given }
                }
            })?;
        }
        Ok(self)
    }
}

/// One item as shown, built-in or own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ListedItem<'a> {
    /// The stored id.
    pub id: &'a str,
    /// The phase it belongs to.
    pub phase: Phase,
    /// What a "yes" says.
    pub title: &'a str,
    /// Where to look from.
    pub view: View,
    /// What good looks like.
    pub good: &'a str,
    /// What the fault looks like.
    pub fault: &'a str,
    /// How to see it.
    pub how: &'a str,
    /// What to mind beyond [`View::caution`].
    pub caution: Option<&'a str>,
}

impl<'a> From<&'a Item> for ListedItem<'a> {
    fn from(item: &'a Item) -> Self {
        Self {
            id: item.id,
            phase: item.phase,
            title: item.title,
            view: item.view,
            good: item.good,
            fault: item.fault,
            how: item.how,
            caution: item.caution,
        }
    }
}

impl<'a> From<&'a OwnItem> for ListedItem<'a> {
    fn from(item: &'a OwnItem) -> Self {
        Self {
            id: &item.id,
            phase: item.phase,
            title: &item.title,
            view: item.view,
            good: &item.good,
            fault: &item.fault,
            how: &item.how,
            caution: None,
        }
    }
}

impl ListedItem<'_> {
    /// Whether a coach wrote it.
    pub fn is_own(&self) -> bool {
        is_own(self.id)
    }
}
