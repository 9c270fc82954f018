//! Rules of coaching: the shared lists of the trade, the swing check and its
//! order rule, the count, and what a name may be. Pure: no I/O, no clock, no
//! browser and no storage; the caller brings answers, times and texts.
//!
//! Every text here is for a person on a phone in a cage: plain, short, in the
//! trade's words (front, back, pull side, opposite side), so that it reads
//! true for hitters on both sides of the plate.

pub mod check;
pub mod count;
pub mod names;
pub mod screening;
pub mod vocabulary;

/// What this crate can refuse, each with a sentence for the person at the
/// phone: the field, the range allowed, and what became of the old value.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum Error {
    /// A hitter's name was refused.
    #[error(transparent)]
    Name(#[from] names::NameError),
    /// A count or a target count was refused.
    #[error(transparent)]
    Count(#[from] count::CountError),
}
