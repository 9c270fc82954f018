//! The relay's refusals: a stable code each, with its HTTP status and sentence.

use super::Error;

macro_rules! problems {
    ($($(#[$doc:meta])* $name:ident $code:literal $status:literal $sentence:literal;)*) => {
        /// Why the relay refuses. Codes never change.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Problem {
            $($(#[$doc])* $name,)*
        }

        impl Problem {
            /// Every problem.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// Its code.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }

            /// Its HTTP status.
            #[must_use]
            pub const fn status(self) -> u16 {
                match self { $(Self::$name => $status,)* }
            }

            /// What it says to a person.
            #[must_use]
            pub const fn sentence(self) -> &'static str {
                match self { $(Self::$name => $sentence,)* }
            }
        }
    };
}

problems! {
    /// Cannot be read, or is not what its hash says.
    Damaged "damaged" 400 "The message is damaged or not of the kind expected here.";
    /// Of a newer format.
    Newer "newer-format" 400 "The message was written by a newer version than this relay knows.";
    /// Meant for another notebook.
    WrongNotebook "wrong-notebook" 400 "The message belongs to another notebook.";
    /// A signature does not fit.
    Signature "signature" 400 "The signature does not fit.";
    /// The request is not signed, or wrongly.
    RequestSignature "request-signature" 401 "The request must be signed by a member of the notebook.";
    /// The request was signed at another time.
    RequestTime "request-time" 401 "The request was signed at another time than the relay's. Its time is given.";
    /// Not a member.
    NotCertified "not-certified" 403 "This device is not a member of the notebook.";
    /// The role forbids it.
    Role "role" 403 "This device's role does not allow that.";
    /// Not the owner.
    NotOwner "not-owner" 403 "Only the owner of the notebook may do that.";
    /// The membership log's rules forbid it.
    MembershipRule "membership-rule" 403 "The rules of the membership log do not allow that entry.";
    /// No such notebook.
    NoNotebook "no-notebook" 404 "There is no such notebook on this relay.";
    /// Nothing there.
    None "none" 404 "There is nothing there.";
    /// Sealed for an epoch that has been replaced.
    StaleEpoch "stale-epoch" 409 "The batch is sealed with a key that has been replaced.";
    /// The relay's membership log is behind.
    UnknownEpoch "unknown-epoch" 409 "The relay has not seen the epoch of that batch. Bring the membership log first.";
    /// Same entry, other content.
    Clash "clash" 409 "Another content is known for the same entry. Two phones use one identity.";
    /// Entries are missing in between.
    Gap "gap" 409 "Entries before these are missing. The last one known is given.";
    /// Membership entries are missing in between.
    MembershipGap "membership-gap" 409 "Membership entries before this one are missing. The next one is given.";
    /// Two membership logs.
    MembershipFork "membership-fork" 409 "Another membership entry is known in this place.";
    /// A new epoch leaves out batches that the relay has.
    NotInStep "not-in-step" 409 "The new epoch leaves out entries that the relay holds. Read them first.";
    /// Parts of a snapshot are missing.
    PartsMissing "parts-missing" 409 "Parts of the snapshot are missing. They are given.";
    /// The snapshot does not fit.
    SnapshotMismatch "snapshot-mismatch" 409 "The snapshot does not fit the entries that the relay holds.";
    /// A newer snapshot is there.
    SnapshotOlder "snapshot-older" 409 "The snapshot is older than the one that is kept.";
    /// Something lies in the mailbox.
    MailboxFull "mailbox-full" 409 "Something lies in that mailbox already.";
    /// Too large.
    TooLarge "too-large" 413 "The message is too large.";
    /// Too many requests.
    SlowDown "slow-down" 429 "Too many requests. Try again later.";
    /// Something broke.
    Internal "internal" 500 "The relay failed. Nothing was taken.";
    /// Not now.
    Unavailable "unavailable" 503 "The relay cannot answer now. Try again later.";
    /// No room.
    Quota "quota" 507 "The notebook has used all the room that this relay gives it.";
}

impl Problem {
    /// The problem with that code; `None` for one of a newer relay.
    #[must_use]
    pub fn of_code(code: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .copied()
            .find(|problem| problem.code() == code)
    }
}

impl Error {
    /// What the relay answers to this error.
    #[must_use]
    pub const fn problem(&self) -> Problem {
        match self {
            Self::Newer(_) | Self::UnknownRole(_) | Self::UnknownChange(_) => Problem::Newer,
            Self::TooLarge { .. } | Self::RecordTooLarge { .. } => Problem::TooLarge,
            Self::WrongNotebook => Problem::WrongNotebook,
            Self::Signature => Problem::Signature,
            Self::NotCertified(_) => Problem::NotCertified,
            Self::RoleForbids { .. } => Problem::Role,
            Self::NotOwner(_) => Problem::NotOwner,
            Self::StaleEpoch { .. } => Problem::StaleEpoch,
            Self::UnknownEpoch { .. } => Problem::UnknownEpoch,
            Self::Clash { .. } => Problem::Clash,
            Self::Gap { .. } => Problem::Gap,
            Self::MembershipGap { .. } => Problem::MembershipGap,
            Self::MembershipFork { .. } => Problem::MembershipFork,
            Self::AlreadyMember(_)
            | Self::OtherKeys(_)
            | Self::MembersOfEpoch
            | Self::ClosedGoesBack
            | Self::TooManyMembers(_) => Problem::MembershipRule,
            Self::SnapshotMismatch { .. } => Problem::SnapshotMismatch,
            Self::RequestForm => Problem::RequestSignature,
            Self::RequestTime => Problem::RequestTime,
            Self::Cut
            | Self::Surplus
            | Self::OtherKind(_)
            | Self::Order
            | Self::Range { .. }
            | Self::Hex
            | Self::BadKey
            | Self::Damaged
            | Self::NoKey(_)
            | Self::Unreadable(_)
            | Self::SnapshotPart(_)
            | Self::Id(_)
            | Self::Stamp(_)
            | Self::Code(_)
            | Self::WordCount { .. }
            | Self::UnknownWord(_)
            | Self::WordsDoNotFit
            | Self::Expired => Problem::Damaged,
        }
    }
}
