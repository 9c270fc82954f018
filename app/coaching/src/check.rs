//! The swing check as data: four phases, their items, and the questions before
//! the first phase; the slap and the bunt have items of their own. No answers
//! and no order rule here: those are in [`screening`](crate::screening) and
//! [`looks`](crate::looks). A coach's own items are in [`own`](crate::own).
//!
//! What good looks like, what the fault looks like and how to see it are common
//! practice of the trade, no source, in our own words. An item's id never
//! changes meaning; an item that comes to mean something else gets a new id.
//! Every item and question is put so that "yes" is good.

mod before;
mod bunt;
mod items;
mod slap;
mod tilt;

pub use before::BEFORE;
pub use bunt::BUNT_ITEMS;
pub use items::ITEMS;
pub use slap::SLAP_ITEMS;
pub use tilt::{TILT, tilt_at, tilt_to_match};

use crate::vocabulary::{Sport, list};

list! {
    /// The phases in the order in which they are judged. The order is common
    /// practice, no source: each phase can only be judged when the ones before
    /// it are good.
    Phase {
        /// The position from which the swing starts forward.
        LaunchPosition = "launch-position", "Launch position";
        /// Weight back, then forward into the launch position.
        Load = "load", "Load and forward move";
        /// The whole swing, as fast as in a game.
        FullSwing = "full-swing", "Full swing at game tempo";
        /// What to swing at.
        Approach = "approach", "Approach and pitch selection";
    }
}

impl Phase {
    /// The place in the order, from 0.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The number on the screen, from 1.
    pub const fn number(self) -> usize {
        self.index() + 1
    }

    /// The name for a small card.
    pub const fn short_name(self) -> &'static str {
        match self {
            Self::LaunchPosition => "Launch",
            Self::Load => "Load",
            Self::FullSwing => "Full swing",
            Self::Approach => "Approach",
        }
    }

    /// The name within a sentence.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::LaunchPosition => "the launch position",
            Self::Load => "the load and forward move",
            Self::FullSwing => "the full swing at game tempo",
            Self::Approach => "the approach and pitch selection",
        }
    }

    /// How the hitter works while this phase is looked at.
    pub const fn how(self) -> &'static str {
        match self {
            Self::LaunchPosition => {
                "The hitter starts from the launch position, with no load: a light medicine ball, or an easy toss with helmet and screen."
            }
            Self::Load => "The hitter adds the load and forward move to the same easy work.",
            Self::FullSwing => {
                "The hitter, in a helmet, takes the full swing at the usual count. Whoever feeds is behind a screen."
            }
            Self::Approach => {
                "The hitter faces pitches as in a game and chooses what to swing at. In practice: helmet on, and a screen for whoever throws."
            }
        }
    }

    /// The items of the swing in this phase, in the order in which they are
    /// asked.
    pub fn items(self) -> impl Iterator<Item = &'static Item> {
        ITEMS.iter().filter(move |item| item.phase == self)
    }
}

list! {
    /// What the hitter does with the bat. Each has items of its own, looked at
    /// in the same order of phases.
    Skill {
        /// The full swing.
        Swing = "swing", "Swing";
        /// The running slap of fast-pitch softball, from the side of first base.
        Slap = "slap", "Slap";
        /// The bunt, of both sports.
        Bunt = "bunt", "Bunt";
    }
}

impl Skill {
    /// The built-in items, in the order of the phases.
    pub const fn items(self) -> &'static [Item] {
        match self {
            Self::Swing => ITEMS,
            Self::Slap => SLAP_ITEMS,
            Self::Bunt => BUNT_ITEMS,
        }
    }

    /// Whether this skill belongs to a sport.
    pub const fn is_of(self, sport: Sport) -> bool {
        !matches!((self, sport), (Self::Slap, Sport::Baseball))
    }

    /// The name of a phase of this skill.
    pub const fn phase_name(self, phase: Phase) -> &'static str {
        match (self, phase) {
            (Self::Swing, phase) => phase.name(),
            (_, Phase::Approach) => "Approach",
            (Self::Slap, Phase::LaunchPosition) => "Slap position",
            (Self::Slap, Phase::Load) => "Steps",
            (Self::Slap, Phase::FullSwing) => "Slap at game speed",
            (Self::Bunt, Phase::LaunchPosition) => "Bunt position",
            (Self::Bunt, Phase::Load) => "Move into position",
            (Self::Bunt, Phase::FullSwing) => "Bunt at game speed",
        }
    }

    /// The name of a phase of this skill within a sentence.
    pub const fn phase_in_words(self, phase: Phase) -> &'static str {
        match (self, phase) {
            (Self::Swing, phase) => phase.in_words(),
            (_, Phase::Approach) => "the approach",
            (Self::Slap, Phase::LaunchPosition) => "the slap position",
            (Self::Slap, Phase::Load) => "the steps",
            (Self::Slap, Phase::FullSwing) => "the slap at game speed",
            (Self::Bunt, Phase::LaunchPosition) => "the bunt position",
            (Self::Bunt, Phase::Load) => "the move into position",
            (Self::Bunt, Phase::FullSwing) => "the bunt at game speed",
        }
    }

    /// How the hitter works while a phase of this skill is looked at.
    pub const fn how(self, phase: Phase) -> &'static str {
        match (self, phase) {
            (Self::Swing, phase) => phase.how(),
            (_, Phase::Approach) => Phase::Approach.how(),
            (Self::Slap, Phase::LaunchPosition) => {
                "In the box on the side of first base, the hitter starts with the feet already crossed: no ball, then a tee."
            }
            (Self::Slap, Phase::Load) => {
                "The hitter adds the steps, with a tee, or with an easy toss, helmet and screen."
            }
            (Self::Slap, Phase::FullSwing) => {
                "The hitter, in a helmet, slaps balls that take as long to the plate as a game pitch. Whoever feeds is behind a screen."
            }
            (Self::Bunt, Phase::LaunchPosition) => {
                "The hitter stands in the position of a sacrifice bunt from the start: no ball, then an easy toss with helmet and screen."
            }
            (Self::Bunt, Phase::Load) => {
                "The hitter starts from the stance and moves into the bunt position, with an easy toss, helmet and screen."
            }
            (Self::Bunt, Phase::FullSwing) => {
                "The hitter, in a helmet, bunts balls that take as long to the plate as a game pitch. Whoever feeds is behind a screen."
            }
        }
    }
}

list! {
    /// Where the watcher or the phone stands.
    View {
        /// Behind the hitter, on the catcher's side, looking to the pitcher.
        FromBehind = "from-behind", "From the catcher's side";
        /// On the side to which the hitter's chest faces.
        OpenSide = "open-side", "From the open side (chest side)";
        /// At the pitcher, looking to the plate.
        FromPitcher = "from-pitcher", "From the pitcher's side";
    }
}

impl View {
    /// What keeps the watcher safe there.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::FromBehind => {
                "Stand out of the bat's reach, and behind netting once balls are tossed, pitched or hit."
            }
            Self::OpenSide => {
                "Stand out of the bat's reach, and behind a screen once balls are hit."
            }
            Self::FromPitcher => "Stand behind a screen, or put up a fixed phone and walk away.",
        }
    }
}

/// One thing to look at.
#[derive(Debug, PartialEq, Eq)]
pub struct Item {
    /// The stored id. It never changes meaning.
    pub id: &'static str,
    /// The phase it belongs to.
    pub phase: Phase,
    /// What it is looked at in.
    pub skill: Skill,
    /// What a "yes" says, at most 40 characters.
    pub title: &'static str,
    /// Where to look from.
    pub view: View,
    /// What good looks like.
    pub good: &'static str,
    /// What the fault looks like.
    pub fault: &'static str,
    /// How to see it.
    pub how: &'static str,
    /// What to mind beyond [`View::caution`].
    pub caution: Option<&'static str>,
}

/// One question before the first phase.
#[derive(Debug, PartialEq, Eq)]
pub struct Question {
    /// The stored id. It never changes meaning.
    pub id: &'static str,
    /// What a "yes" says, at most 40 characters.
    pub title: &'static str,
    /// The question to the hitter or the watcher.
    pub ask: &'static str,
    /// What to do when the answer is not yes.
    pub if_not: &'static str,
    /// Whether "not yet" stops the check.
    pub stops: bool,
    /// Whether the "yes" of an earlier look still holds at a later one. Pain
    /// and fatigue are asked anew each time.
    pub stands: bool,
}

/// The item of a stored id; `None` when this version has no such item.
pub fn item(id: &str) -> Option<&'static Item> {
    Skill::ALL
        .iter()
        .flat_map(|skill| skill.items())
        .find(|item| item.id == id)
}

/// The question of a stored id; `None` when this version has no such question.
pub fn question(id: &str) -> Option<&'static Question> {
    BEFORE.iter().find(|question| question.id == id)
}

/// What every item that is looked at in games says.
const GAME: Option<&str> = Some("In a game, log from behind netting.");
