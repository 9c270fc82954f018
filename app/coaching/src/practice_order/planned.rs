//! A round that is planned ball by ball: its kinds of ball, their order, and which
//! comes next, so that whoever feeds is told. Where it is kept is the caller's.

use super::{PracticeOrder, round};
use crate::vocabulary::{Environment, Hand};
use flight::pitch_type;

/// A kind of ball: where it comes from, from which side, and what is thrown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BallKind {
    /// Where it comes from.
    pub environment: Environment,
    /// Pitcher's hand or side of the feed; none where there is none.
    pub feed: Option<Hand>,
    /// Id of the kind of pitch, one of [`flight::PITCH_TYPES`], if it is said.
    pub pitch: Option<&'static str>,
}

/// Stands in a code for what is not said.
const NONE: &str = "none";

impl BallKind {
    /// As it is stored: "machine.right.baseball-fastball", "tee.none.none".
    pub fn code(self) -> String {
        let feed = self.feed.map_or(NONE, Hand::id);
        let pitch = self.pitch.unwrap_or(NONE);
        format!("{}.{feed}.{pitch}", self.environment.id())
    }

    /// From its code; `None` for one that this version does not know.
    pub fn from_code(code: &str) -> Option<Self> {
        let mut parts = code.split('.');
        let environment = Environment::from_id(parts.next()?)?;
        let feed = match parts.next()? {
            NONE => None,
            id => Some(Hand::from_id(id)?),
        };
        let pitch = match parts.next()? {
            NONE => None,
            id => Some(pitch_type(id)?.id),
        };
        parts.next().is_none().then_some(Self {
            environment,
            feed,
            pitch,
        })
    }

    /// In words: "Machine, as from a right-hander, Fastball".
    pub fn words(self) -> String {
        let mut words = vec![self.environment.name().to_owned()];
        words.extend(self.feed.map(|hand| hand.from_whom(self.environment)));
        let pitch = self.pitch.and_then(pitch_type);
        words.extend(pitch.map(|kind| kind.name.to_owned()));
        words.join(", ")
    }
}

/// Why a round could not be planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// Too few kinds of ball, or too many.
    #[error(
        "Kinds of ball: {least} to {most} are allowed, and the round has {given}. The round from before is kept.",
        least = Planned::LEAST_KINDS, most = Planned::MOST_KINDS
    )]
    Kinds {
        /// How many.
        given: usize,
    },
    /// Too few or too many balls of a kind.
    #[error(
        "Balls of each kind: 1 to {most} are allowed, and {given} was given. The number from before is kept.",
        most = Planned::MOST_EACH
    )]
    Each {
        /// How many.
        given: u32,
    },
}

/// A planned round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Planned {
    order: PracticeOrder,
    kinds: Vec<BallKind>,
    seed: u32,
    balls: Vec<usize>,
}

impl Planned {
    /// Fewest kinds of ball: one kind has no order.
    pub const LEAST_KINDS: usize = 2;
    /// Most kinds of ball (our choice, no source).
    pub const MOST_KINDS: usize = 6;
    /// Most balls of a kind (our choice, no source).
    pub const MOST_EACH: u32 = 20;

    /// Plans a round of `each` balls of every kind; the same seed gives the same
    /// order.
    ///
    /// # Errors
    /// Outside of what is allowed.
    pub fn new(
        order: PracticeOrder,
        kinds: Vec<BallKind>,
        each: u32,
        seed: u32,
    ) -> Result<Self, PlanError> {
        let given = kinds.len();
        if !(Self::LEAST_KINDS..=Self::MOST_KINDS).contains(&given) {
            return Err(PlanError::Kinds { given });
        }
        let counted = u8::try_from(each).ok();
        let Some(counted) = counted.filter(|_| (1..=Self::MOST_EACH).contains(&each)) else {
            return Err(PlanError::Each { given: each });
        };
        let balls = round(order, &vec![counted; given], u64::from(seed));
        Ok(Self {
            order,
            kinds,
            seed,
            balls,
        })
    }

    /// The order.
    pub const fn order(&self) -> PracticeOrder {
        self.order
    }

    /// The kinds of ball.
    pub fn kinds(&self) -> &[BallKind] {
        &self.kinds
    }

    /// What the order was drawn by: it tells one round from the next.
    pub const fn seed(&self) -> u32 {
        self.seed
    }

    /// How many balls.
    pub fn balls(&self) -> usize {
        self.balls.len()
    }

    /// The ball after so many; `None` once the round is over.
    pub fn after(&self, balls: usize) -> Option<BallKind> {
        let kind = self.balls.get(balls)?;
        self.kinds.get(*kind).copied()
    }

    /// What comes next, for whoever feeds.
    pub fn sentence(&self, after: usize) -> String {
        let all = self.balls();
        match self.after(after) {
            Some(kind) => format!("Next: {}. Ball {} of {all}.", kind.words(), after + 1),
            None => format!("The round of {all} balls is over."),
        }
    }
}
