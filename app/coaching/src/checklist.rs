//! The list to show: built-in and own items, in the coach's order, without what
//! the coach hid. The rule of merging, and the coach's acts on it; no answers.

use crate::check::{Phase, Skill};
use crate::own::{ListedItem, OwnItem};
use crate::vocabulary::Sport;

/// What stands on the screen for an id that this version does not know.
pub const OF_A_NEWER_VERSION: &str = "An item of a newer version";

/// A coach's order and what the coach hid, as ids. An id that this version does
/// not know is carried on unchanged.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Arrangement {
    /// Ids in the coach's order, as far as the coach gave one. Of an id that
    /// comes twice, the first place counts.
    pub order: Vec<String>,
    /// Ids that are not asked.
    pub hidden: Vec<String>,
}

/// The list of one skill, ready to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckList<'a> {
    /// What it is looked at in.
    pub skill: Skill,
    /// What is asked, in order; the phases always come in theirs.
    pub items: Vec<ListedItem<'a>>,
    /// What the coach hid, in order.
    pub hidden: Vec<ListedItem<'a>>,
    /// Ids of the order or of the hidden that this version does not know: each
    /// is shown as [`OF_A_NEWER_VERSION`], and not asked.
    pub newer: Vec<&'a str>,
    /// Phases of which everything was hidden. An empty phase could only be
    /// judged by guess, so their items are asked all the same.
    pub not_hidden: Vec<Phase>,
}

impl<'a> CheckList<'a> {
    /// The built-in list of a skill as it comes.
    pub fn built_in(skill: Skill) -> Self {
        Self {
            skill,
            items: skill.items().iter().map(ListedItem::from).collect(),
            hidden: Vec::new(),
            newer: Vec::new(),
            not_hidden: Vec::new(),
        }
    }

    /// Merges the built-in items of a skill with a coach's own items (those of
    /// this skill, and of this sport or of both) by the coach's arrangement.
    ///
    /// - The phases keep their order: the order rule stands on it.
    /// - Within a phase, items named in the order come in that order. An item
    ///   that is not named (a newer version brought it) follows the one that it
    ///   follows in the built-in list; own items come last.
    /// - What is hidden is left out, but a phase is never left empty.
    pub fn merged(
        skill: Skill,
        sport: Sport,
        own: &'a [OwnItem],
        arrangement: &'a Arrangement,
    ) -> Self {
        let is_ours =
            |item: &&OwnItem| item.skill == skill && item.sport.is_none_or(|only| only == sport);
        let mut base: Vec<ListedItem<'a>> = skill.items().iter().map(ListedItem::from).collect();
        for item in own.iter().filter(is_ours) {
            if base.iter().all(|known| known.id != item.id) {
                base.push(item.into());
            }
        }
        let mut list = Self {
            skill,
            items: Vec::new(),
            hidden: Vec::new(),
            newer: Vec::new(),
            not_hidden: Vec::new(),
        };
        for phase in Phase::ALL {
            list.add_phase(*phase, &base, arrangement);
        }
        let known =
            |id: &str| crate::check::item(id).is_some() || own.iter().any(|item| item.id == id);
        for id in arrangement.order.iter().chain(&arrangement.hidden) {
            if !known(id) && !list.newer.contains(&id.as_str()) {
                list.newer.push(id);
            }
        }
        list
    }

    fn add_phase(&mut self, phase: Phase, base: &[ListedItem<'a>], arrangement: &'a Arrangement) {
        let of_phase = || base.iter().filter(|item| item.phase == phase);
        let mut placed: Vec<ListedItem<'a>> = Vec::new();
        for id in &arrangement.order {
            if let Some(item) = of_phase().find(|item| item.id == id.as_str())
                && !placed.contains(item)
            {
                placed.push(*item);
            }
        }
        let mut before: Option<&str> = None;
        for item in of_phase() {
            if !placed.contains(item) {
                let place = if item.is_own() {
                    placed.len()
                } else {
                    before
                        .and_then(|id| placed.iter().position(|placed| placed.id == id))
                        .map_or(0, |place| place + 1)
                };
                placed.insert(place, *item);
            }
            before = Some(item.id);
        }
        let is_hidden =
            |item: &ListedItem| arrangement.hidden.iter().any(|id| id.as_str() == item.id);
        if placed.iter().all(is_hidden) {
            self.not_hidden.push(phase);
            self.items.extend(placed);
        } else {
            for item in placed {
                if is_hidden(&item) {
                    self.hidden.push(item);
                } else {
                    self.items.push(item);
                }
            }
        }
    }

    /// The items asked in one phase, with their places in the list.
    pub fn phase(&self, phase: Phase) -> impl Iterator<Item = (usize, &ListedItem<'a>)> {
        self.items
            .iter()
            .enumerate()
            .filter(move |(_, item)| item.phase == phase)
    }

    /// Whether an item may be hidden: not when it is the last of its phase.
    pub fn may_hide(&self, id: &str) -> bool {
        self.items
            .iter()
            .find(|item| item.id == id)
            .is_some_and(|item| self.phase(item.phase).count() > 1)
    }
}

impl Arrangement {
    /// The arrangement with an item moved up (`true`) or down by one place
    /// within its phase, as `list` shows it. At the end of its phase, or for an
    /// id that `list` does not show, nothing changes. What is hidden comes
    /// after what is shown in its phase; ids of newer versions and of other
    /// skills are carried on in their order.
    #[must_use]
    pub fn moved(&self, list: &CheckList, id: &str, up: bool) -> Self {
        let Some(place) = list.items.iter().position(|item| item.id == id) else {
            return self.clone();
        };
        let other = if up {
            place.checked_sub(1)
        } else {
            Some(place + 1)
        };
        let other = other.and_then(|other| list.items.get(other));
        let Some(other) = other.filter(|other| other.phase == list.items[place].phase) else {
            return self.clone();
        };
        let swapped = |shown: &str| {
            if shown == id {
                other.id.to_owned()
            } else if shown == other.id {
                id.to_owned()
            } else {
                shown.to_owned()
            }
        };
        // What the list shows or hides, then what it does not know about.
        let phases = Phase::ALL.iter().flat_map(|phase| {
            let of_phase = move |item: &&ListedItem| item.phase == *phase;
            let shown = list.items.iter().filter(of_phase);
            shown.chain(list.hidden.iter().filter(of_phase))
        });
        let mut order: Vec<String> = phases.map(|item| swapped(item.id)).collect();
        for kept in &self.order {
            if !order.contains(kept) {
                order.push(kept.clone());
            }
        }
        Self {
            order,
            hidden: self.hidden.clone(),
        }
    }

    /// The arrangement with an item hidden, or asked again.
    #[must_use]
    pub fn with_hidden(&self, id: &str, hidden: bool) -> Self {
        let mut changed = self.clone();
        changed.hidden.retain(|kept| kept != id);
        if hidden {
            changed.hidden.push(id.to_owned());
        }
        changed
    }
}
