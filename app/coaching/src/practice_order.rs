//! The order of a round: one kind of ball after the other in blocks, in turn,
//! or at random. Recognised from what was recorded, suggested, and made. What a
//! kind is (a pitch, an environment, both) is the caller's.
//!
//! Practice in mixed order looks worse while it lasts and is kept better
//! (contextual interference). Hall, Domingues and Cavazos (Perceptual and Motor
//! Skills 78, 835-841, 1994; from memory): college hitters who got extra
//! batting practice with three kinds of pitch in random order gained more in a
//! later test than those who got them in blocks, and those more than hitters
//! without extra practice.

pub mod planned;

use crate::vocabulary::list;

list! {
    /// In which order the kinds of ball of a round come.
    PracticeOrder {
        /// All of one kind, then all of the next.
        Blocked = "blocked", "In blocks";
        /// One of each in turn, again and again.
        Serial = "serial", "In turn";
        /// The hitter cannot tell which comes next.
        Random = "random", "At random";
    }
}

list! {
    /// What a round is for.
    Purpose {
        /// A move that the hitter does not have yet.
        NewMove = "new-move", "A new move";
        /// A move that holds when the ball is known, not when it is not.
        Settling = "settling", "Making a move hold";
        /// Ready for games.
        Game = "game", "Ready for games";
    }
}

/// Reps below which no order is named (our choice, no source).
pub const AT_LEAST: usize = 6;

/// Mean length of the runs of one kind from which a round is in blocks (our
/// choice, no source). Two kinds at random give runs of 2 on average.
const BLOCK_RUN: usize = 3;

/// What a recorded round was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recognised {
    /// Too few reps: so many more.
    NotYet {
        /// How many more.
        more: usize,
    },
    /// One kind of ball only: it has no order.
    OneKind,
    /// More than one kind, in this order.
    Order(PracticeOrder),
}

/// The order of a round, from the kinds of its reps, first rep first.
///
/// - In turn: the same turn of all kinds throughout, at least twice over (the
///   last one may be cut short).
/// - In blocks: one run of each kind, 2 long or longer on average; or more runs
///   that are 3 long or longer on average.
/// - At random: everything else, so also a mixed order that somebody made up.
pub fn recognised<K: PartialEq>(kinds: &[K]) -> Recognised {
    let n = kinds.len();
    if n < AT_LEAST {
        return Recognised::NotYet { more: AT_LEAST - n };
    }
    let distinct = (0..n)
        .filter(|place| !kinds[..*place].contains(&kinds[*place]))
        .count();
    if distinct == 1 {
        return Recognised::OneKind;
    }
    let runs = 1 + kinds.windows(2).filter(|pair| pair[0] != pair[1]).count();
    // The first turn holds every kind once when all later reps repeat it and
    // it is as long as there are kinds.
    let repeats_itself = n >= 2 * distinct
        && (distinct..n).all(|place| kinds[place] == kinds[place - distinct])
        && runs == n;
    Recognised::Order(if repeats_itself {
        PracticeOrder::Serial
    } else if n >= BLOCK_RUN * runs || (runs == distinct && n >= 2 * runs) {
        PracticeOrder::Blocked
    } else {
        PracticeOrder::Random
    })
}

impl Recognised {
    /// What the round was, in words.
    pub fn sentence(self) -> String {
        match self {
            Self::NotYet { more } => {
                let reps = if more == 1 { "rep" } else { "reps" };
                format!("The order of this round: not yet, {more} more {reps}.")
            }
            Self::OneKind => "One kind of ball only, so no order.".to_owned(),
            Self::Order(PracticeOrder::Blocked) => {
                "In blocks: one kind of ball after the other.".to_owned()
            }
            Self::Order(PracticeOrder::Serial) => {
                "In turn: the hitter can know what comes next.".to_owned()
            }
            Self::Order(PracticeOrder::Random) => {
                "Mixed: neither in blocks nor in turn.".to_owned()
            }
        }
    }
}

impl Purpose {
    /// The order to use: blocks for a new move, in turn while it settles, at
    /// random before games (the first two are common practice, no source; the
    /// last is the study named above).
    pub const fn order(self) -> PracticeOrder {
        match self {
            Self::NewMove => PracticeOrder::Blocked,
            Self::Settling => PracticeOrder::Serial,
            Self::Game => PracticeOrder::Random,
        }
    }

    /// What to do next, after a round that was in some order.
    pub const fn suggestion(self, was: Recognised) -> &'static str {
        match (self, was) {
            (_, Recognised::NotYet { .. }) => "Finish the round first.",
            (Self::NewMove, Recognised::Order(PracticeOrder::Blocked) | Recognised::OneKind) => {
                "Right for a new move. Mix the balls as soon as the move holds."
            }
            (Self::NewMove, _) => {
                "For a new move, begin with one kind of ball after the other. Mix them as soon as it holds."
            }
            (Self::Settling, Recognised::Order(PracticeOrder::Serial)) => {
                "In turn is right while a move settles. Next, mix the balls at random."
            }
            (Self::Settling, Recognised::Order(PracticeOrder::Random)) => {
                "Mixed already. When too few swings succeed, go back to balls in turn."
            }
            (Self::Settling, _) => "Change the kind of ball with each rep, in turn.",
            (Self::Game, Recognised::Order(PracticeOrder::Random)) => {
                "Mixed, as in a game. It often looks worse today, and more of it tends to be kept."
            }
            (Self::Game, _) => {
                "Before games, mix the balls at random. It often looks worse today, and more of it tends to be kept."
            }
        }
    }
}

/// A round in an order: for each rep the place of its kind in `counts`, which
/// says how many of each kind there are. The same seed gives the same round.
///
/// At random, a shuffle that would be recognised as another order is drawn
/// anew, a few times: of two or three reps every order is some other order.
pub fn round(order: PracticeOrder, counts: &[u8], seed: u64) -> Vec<usize> {
    let blocked = || {
        let of_kind = |(kind, count): (usize, &u8)| vec![kind; usize::from(*count)];
        counts.iter().enumerate().flat_map(of_kind)
    };
    match order {
        PracticeOrder::Blocked => blocked().collect(),
        PracticeOrder::Serial => {
            let turns = counts.iter().copied().max().unwrap_or(0);
            let turn = |turn: u8| (0..counts.len()).filter(move |kind| counts[*kind] > turn);
            (0..turns).flat_map(turn).collect()
        }
        PracticeOrder::Random => {
            const TRIES: usize = 20;
            let mut round: Vec<usize> = blocked().collect();
            let mut random = Random(seed);
            for _ in 0..TRIES {
                random.shuffle(&mut round);
                let other = [PracticeOrder::Blocked, PracticeOrder::Serial];
                if !other.map(Recognised::Order).contains(&recognised(&round)) {
                    break;
                }
            }
            round
        }
    }
}

/// Splitmix64 (Steele, Lea and Flood, OOPSLA 2014): enough for an order nobody
/// can guess on a field, and the same on every phone.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// Fisher and Yates' shuffle. The remainder favours small numbers by less
    /// than one part in 10^15 for any round.
    fn shuffle(&mut self, round: &mut [usize]) {
        for last in (1..round.len()).rev() {
            let other = (self.next() % (last as u64 + 1)) as usize;
            round.swap(last, other);
        }
    }
}
