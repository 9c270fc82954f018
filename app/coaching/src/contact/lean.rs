//! Where a hitter's balls go, and how high, as shares with their intervals, by
//! environment, side of the feed and side batted. What a lean tells of the
//! swing is not said here.

use super::share::Share;
use super::{Contact, ContactResult, fan::Third};
use crate::vocabulary::{Environment, Hand, Side, list};

/// Balls before a lean is spoken of (our choice, no source): below it,
/// Wilson's interval of an even share is wider than 40 points.
pub const AT_LEAST: u32 = 20;

list! {
    /// How high a ball in play went: the three that are held against each
    /// other.
    HeightPart {
        /// On the ground.
        Ground = "ground", "Ground balls";
        /// Line drives.
        Line = "line", "Line drives";
        /// Flies and pop-ups.
        Air = "air", "Flies and pop-ups";
    }
}

impl HeightPart {
    /// The part of a result; `None` for what was not put in play.
    pub const fn of(result: ContactResult) -> Option<Self> {
        match result {
            ContactResult::Ground => Some(Self::Ground),
            ContactResult::Line => Some(Self::Line),
            ContactResult::Fly | ContactResult::Pop => Some(Self::Air),
            ContactResult::Miss | ContactResult::Foul | ContactResult::Take => None,
        }
    }
}

/// Counts of three parts, of which the first and the last lie to two sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Three {
    /// One count a part, in the order of its list.
    pub counts: [u32; 3],
}

/// Which way three parts lean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Too few: so many more are needed before a lean is spoken of.
    NotYet {
        /// How many more.
        more: u32,
    },
    /// To the first part (pull side; ground).
    First,
    /// To the last part (opposite side; air).
    Last,
    /// Neither: the counts fit an even share of the two sides as well.
    None,
}

impl Three {
    /// How many were counted.
    pub fn n(self) -> u32 {
        self.counts
            .iter()
            .fold(0, |sum, count| sum.saturating_add(*count))
    }

    /// The share of one part, by its place.
    pub fn share(self, part: usize) -> Share {
        Share {
            count: self.counts[part],
            n: self.n(),
        }
    }

    /// The first part against the last, the middle one left out.
    pub fn sides(self) -> Share {
        let [first, _, last] = self.counts;
        Share {
            count: first,
            n: first.saturating_add(last),
        }
    }

    /// Which way they lean: when Wilson's 95% interval of the first part
    /// against the last leaves an even share out, and not below
    /// [`AT_LEAST`] balls.
    pub fn lean(self) -> Lean {
        let n = self.n();
        if n < AT_LEAST {
            return Lean::NotYet { more: AT_LEAST - n };
        }
        let sides = self.sides().wilson();
        if sides.low > 0.5 {
            Lean::First
        } else if sides.high < 0.5 {
            Lean::Last
        } else {
            Lean::None
        }
    }
}

/// What was hit under one set of conditions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Where the balls came from.
    pub environment: Environment,
    /// The pitcher's hand or the side of the feed.
    pub feed: Option<Hand>,
    /// The side batted from.
    pub batted: Side,
    /// Swings: everything but takes.
    pub swings: u32,
    /// Swings that missed.
    pub misses: u32,
    /// Fouls.
    pub fouls: u32,
    /// Balls that were let go by.
    pub takes: u32,
    /// Pull side, middle, opposite side: of the balls in play that have a
    /// direction.
    pub directions: Three,
    /// Ground, line, air: of all balls in play.
    pub heights: Three,
}

/// Contacts by their conditions, in the order of the shared lists.
pub fn groups(contacts: &[Contact]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for contact in contacts {
        let key = (contact.environment, contact.feed, contact.batted);
        let place = match groups.binary_search_by_key(&key, Group::key) {
            Ok(place) => place,
            Err(place) => {
                groups.insert(place, Group::empty(contact));
                place
            }
        };
        groups[place].add(contact);
    }
    groups
}

impl Group {
    fn key(&self) -> (Environment, Option<Hand>, Side) {
        (self.environment, self.feed, self.batted)
    }

    const fn empty(like: &Contact) -> Self {
        Self {
            environment: like.environment,
            feed: like.feed,
            batted: like.batted,
            swings: 0,
            misses: 0,
            fouls: 0,
            takes: 0,
            directions: Three { counts: [0; 3] },
            heights: Three { counts: [0; 3] },
        }
    }

    fn add(&mut self, contact: &Contact) {
        let result = contact.result;
        self.swings += u32::from(result.is_swing());
        self.takes += u32::from(!result.is_swing());
        self.misses += u32::from(result == ContactResult::Miss);
        self.fouls += u32::from(result == ContactResult::Foul);
        if let Some(part) = HeightPart::of(result) {
            self.heights.counts[part as usize] += 1;
            if let Some(third) = contact.third() {
                self.directions.counts[third as usize] += 1;
            }
        }
    }

    /// Where the balls went, in words: every share with its count, n and
    /// interval, and then the lean.
    pub fn directions_sentence(&self) -> String {
        let parts = Third::ALL.iter().map(|third| third.words(self.batted));
        self.directions.sentence(
            parts,
            "in play with a direction",
            [
                "More to the pull side than to the opposite side.",
                "More to the opposite side than to the pull side.",
                "No more to one side than chance may give.",
            ],
        )
    }

    /// How high they went, in words.
    pub fn heights_sentence(&self) -> String {
        let parts = ["ground balls", "line drives", "flies and pop-ups"].into_iter();
        self.heights.sentence(
            parts,
            "in play",
            [
                "More on the ground than in the air.",
                "More in the air than on the ground.",
                "No more on the ground or in the air than chance may give.",
            ],
        )
    }
}

impl Three {
    fn sentence(
        self,
        parts: impl Iterator<Item = &'static str>,
        counted: &str,
        [first, last, even]: [&str; 3],
    ) -> String {
        let n = self.n();
        let balls = if n == 1 { "ball" } else { "balls" };
        let mut text = format!("{n} {balls} {counted}");
        for (place, part) in parts.enumerate() {
            let before = if place == 0 { ": " } else { "; " };
            text = format!("{text}{before}{part} {}", self.share(place).words());
        }
        match self.lean() {
            Lean::NotYet { more } => {
                let reps = ["rep", "reps"].map(|reps| format!("{reps} {counted}"));
                format!("{text}. A lean, {}.", not_yet(more, [&reps[0], &reps[1]]))
            }
            Lean::First => format!("{text}. {first}"),
            Lean::Last => format!("{text}. {last}"),
            Lean::None => format!("{text}. {even}"),
        }
    }
}

/// "not yet: 7 more reps in play", to stand within a sentence; the unit for one, and for
/// more than one.
pub(crate) fn not_yet(more: u32, [one, many]: [&str; 2]) -> String {
    let unit = if more == 1 { one } else { many };
    format!("not yet: {more} more {unit}")
}
