//! Rules of coaching: the shared lists of the trade, the swing check and its
//! order rule over one look and several, agreement of observers, drill cards and
//! their ranking, the count and its tempo, contact and what it says of the bat's
//! path, practice against the game, swing counts, and what the roster may hold.
//! Pure: no I/O, no clock, no browser and no storage; the caller brings answers,
//! times and texts.
//!
//! Every text here is for a person on a phone in a cage: plain, short, in the
//! trade's words (front, back, pull side, opposite side), so that it reads
//! true for hitters on both sides of the plate.

pub mod agreement;
pub mod card_file;
pub mod cards;
pub mod challenge;
pub mod check;
pub mod checklist;
pub mod contact;
pub mod count;
pub mod joins;
pub mod listing;
pub mod loads;
pub mod looks;
pub mod names;
mod order;
pub mod own;
pub mod own_cards;
pub mod own_file;
pub mod practice_order;
pub mod prescription;
pub mod progress;
pub mod realism;
pub mod roster;
pub mod screening;
pub mod search;
pub mod statistics;
pub mod tempo;
mod text;
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
    /// A coach's own item was refused.
    #[error(transparent)]
    Item(#[from] own::ItemError),
    /// A coach's own card was refused.
    #[error(transparent)]
    Card(#[from] own_cards::CardError),
    /// A file of cards was refused.
    #[error(transparent)]
    CardFile(#[from] card_file::FileError),
    /// An own item or an order that was kept cannot be read.
    #[error(transparent)]
    OwnFile(#[from] own_file::OwnFileError),
    /// Something on the roster was refused.
    #[error(transparent)]
    Roster(#[from] roster::RosterError),
    /// Something of the tempo was refused.
    #[error(transparent)]
    Tempo(#[from] tempo::TempoError),
    /// A contact was refused.
    #[error(transparent)]
    Contact(#[from] contact::ContactError),
    /// A band of challenge was refused.
    #[error(transparent)]
    Challenge(#[from] challenge::ChallengeError),
    /// A limit of swings was refused.
    #[error(transparent)]
    Load(#[from] loads::LoadError),
    /// An environment could not be held against the game pitch.
    #[error(transparent)]
    Realism(#[from] realism::RealismError),
}
