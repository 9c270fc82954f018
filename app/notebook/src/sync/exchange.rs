//! The exchange of missing entries between a phone and the relay: what to do
//! next, as a function of what is here and what is known to be there, and the
//! two messages of reading. No I/O: whoever calls carries the asking out.
//!
//! All that must last is in `Here`, which the phone stores; `There` is a guess
//! that every answer corrects. So the exchange can be cut at any byte and begun
//! again anywhere: it goes on with what was stored.

mod messages;

pub use messages::{
    AnswerHead, AnswerReader, MAX_ANSWER_BYTES, Piece, ReadAnswer, ReadRequest, Then,
};

use super::{Error, Vector};
use crate::DeviceId;

/// What this phone has stored of one notebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Here {
    /// This device.
    pub me: DeviceId,
    /// Length of the membership log.
    pub members: u32,
    /// All entries applied.
    pub vector: Vector,
    /// Up to where the stored batches of each author count in the present epoch
    /// and so can be handed on. Mostly the same as `vector`; behind it for a batch
    /// that came by file and was left out of a new epoch.
    pub hand_on: Vector,
    /// Up to where batches are no longer stored, because a snapshot took their
    /// place. Empty at first.
    pub removed: Vector,
    /// Whether a membership entry of our own is on its way: stored, sent perhaps,
    /// and not yet known to have been taken.
    pub proposed: bool,
    /// Whether entries wait to be sealed.
    pub waiting: bool,
    /// Whether stored batches must be sealed again or adopted after a new epoch.
    pub unsettled: bool,
    /// Whether this device owns the notebook.
    pub owner: bool,
    /// What this device has acknowledged and the relay has taken.
    pub acknowledged: Vector,
}

/// What is known of the relay; nothing at first and after every failure.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct There {
    /// Its membership length and vector, as last heard.
    heads: Option<(u32, Vector)>,
    /// What it said comes after its last answer.
    then: Then,
}

/// What to do next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ask {
    /// Read what is beyond our vector. At once, or, when in step, with a wait.
    Read {
        /// Whether to wait for news.
        wait: bool,
    },
    /// Read the membership log from this entry on.
    FetchMembership {
        /// First entry wanted.
        from: u32,
    },
    /// Bring the membership entry with this number, which we have had before.
    PushMembership {
        /// Which one.
        number: u32,
    },
    /// Bring our own membership entry that is on its way, the same bytes again.
    Propose,
    /// Seal waiting entries.
    Seal,
    /// Seal again, or adopt, what did not count when the epoch changed.
    Settle,
    /// Bring the stored batch of this author that holds this entry.
    Push {
        /// Whose.
        author: DeviceId,
        /// First entry that the relay lacks.
        number: u32,
    },
    /// Take the snapshot.
    TakeSnapshot,
    /// Make a snapshot and bring it: the relay has gone back to before entries
    /// that were removed everywhere behind an earlier snapshot.
    MakeSnapshot,
    /// Acknowledge our vector.
    Acknowledge,
}

/// The next thing to do. Every answer is to be told to `there`, and everything
/// received stored, before this is asked again.
///
/// # Errors
/// [`Error::Clash`] when the relay has entries under an identity of ours that
/// are not ours.
pub fn next(here: &Here, there: &There) -> Result<Ask, Error> {
    let Some((members, heads)) = &there.heads else {
        return Ok(Ask::Read { wait: false });
    };
    if *members > here.members {
        return Ok(Ask::FetchMembership { from: here.members });
    }
    if *members < here.members {
        return Ok(Ask::PushMembership { number: *members });
    }
    if here.proposed {
        return Ok(Ask::Propose);
    }
    if there.then == Then::SnapshotFirst {
        return Ok(Ask::TakeSnapshot);
    }
    if here.unsettled {
        return Ok(Ask::Settle);
    }
    if here.waiting {
        return Ok(Ask::Seal);
    }
    check_heads(here, heads)?;
    if let Some((author, number)) = to_push(here, heads) {
        return Ok(Ask::Push { author, number });
    }
    if there.then == Then::More || !reaches(&here.vector, heads) {
        return Ok(Ask::Read { wait: false });
    }
    if here.owner && !reaches(heads, &here.removed) {
        return Ok(Ask::MakeSnapshot);
    }
    if here.acknowledged != here.vector {
        return Ok(Ask::Acknowledge);
    }
    Ok(Ask::Read { wait: true })
}

/// The relay must not know more of us than we do, nor another content.
fn check_heads(here: &Here, heads: &Vector) -> Result<(), Error> {
    for (author, theirs) in heads.iter() {
        let mine = here.vector.get(author);
        let other_content =
            mine.is_some_and(|mine| mine.last == theirs.last && mine.hash != theirs.hash);
        let not_ours = author == here.me && here.vector.last(author) < theirs.last;
        if other_content || not_ours {
            return Err(Error::Clash {
                device: author,
                number: theirs.last,
            });
        }
    }
    Ok(())
}

/// Whether `vector` goes at least as far as `other` for each author.
fn reaches(vector: &Vector, other: &Vector) -> bool {
    other.missing_from(vector).is_empty()
}

/// The first batch that the relay lacks and that can be handed on: our own
/// before those of others.
fn to_push(here: &Here, heads: &Vector) -> Option<(DeviceId, u32)> {
    let missing = here.hand_on.missing_from(heads);
    let can = |(author, number): &&(DeviceId, u32)| *number > here.removed.last(*author);
    let own = missing.iter().find(|(author, _)| *author == here.me);
    own.filter(can)
        .or_else(|| missing.iter().find(can))
        .copied()
}

impl There {
    /// What an answer to reading said, to a phone whose membership log has
    /// `members` entries. Says whether the batches that follow can be taken: not
    /// before both membership logs are equally long, since what counts depends on it.
    pub fn heard(&mut self, head: &AnswerHead, members: u32) -> bool {
        self.heads = Some((head.members, head.heads.clone()));
        self.then = head.then;
        head.members == members
    }

    /// The relay has taken a batch, or had it.
    pub fn took(&mut self, author: DeviceId, point: super::Point) {
        if let Some((_, heads)) = &mut self.heads {
            heads.set(author, point);
        }
    }

    /// The relay has taken a membership entry, or had it.
    pub fn took_membership(&mut self, number: u32) {
        if let Some((members, _)) = &mut self.heads {
            *members = number + 1;
        }
    }

    /// The relay has taken a snapshot that holds all within `vector`.
    pub fn took_snapshot_of(&mut self, vector: &Vector) {
        if let Some((_, heads)) = &mut self.heads {
            heads.join(vector);
        }
    }

    /// The relay's snapshot has been applied.
    pub const fn applied_snapshot(&mut self) {
        self.then = Then::More;
    }

    /// The relay refused, or did not answer: what we knew of it may be wrong,
    /// so it is asked again.
    pub fn forget(&mut self) {
        *self = Self::default();
    }

    /// What it said comes after its last answer.
    #[must_use]
    pub const fn then(&self) -> Then {
        self.then
    }

    /// What the relay holds, as far as known.
    #[must_use]
    pub fn heads(&self) -> Option<&Vector> {
        self.heads.as_ref().map(|(_, heads)| heads)
    }
}
