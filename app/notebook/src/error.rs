//! What can be wrong with a record's parts, and with what comes from another phone or
//! from the relay: a sentence a case.

use crate::DeviceId;
use crate::role::Role;

/// Why something was refused. Where one of these is returned, nothing has been
/// changed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// Not a UUID.
    #[error("the id {0:?} is not a UUID")]
    Id(String),
    /// Not a stamp: 16 hexadecimal digits, a hyphen, 32 hexadecimal digits.
    #[error("the stamp {0:?} is not 16 hexadecimal digits, a hyphen and 32 more")]
    Stamp(String),
    /// Not a code: 1 to 64 of a-z, 0-9, hyphen and full stop.
    #[error("the code {0:?} is not 1 to 64 of the characters a-z, 0-9, '-' and '.'")]
    Code(String),
    /// Fewer bytes than its own lengths say.
    #[error("the message is cut short")]
    Cut,
    /// More bytes than its own lengths say.
    #[error("the message has bytes left over at its end")]
    Surplus,
    /// Another kind of message.
    #[error("this is not {0}")]
    OtherKind(&'static str),
    /// A newer version of the format.
    #[error("{0} was written by a newer version of Stridebook")]
    Newer(&'static str),
    /// Larger than its kind may be.
    #[error("the message is larger than the {limit} bytes that it may have")]
    TooLarge {
        /// Most bytes.
        limit: usize,
    },
    /// A vector, or a list of members, that is not in rising order.
    #[error("a list is not in rising order")]
    Order,
    /// A role that this version does not know.
    #[error("the role {0} is not known to this version of Stridebook")]
    UnknownRole(u8),
    /// A change of membership that this version does not know.
    #[error("the membership change {0} is not known to this version of Stridebook")]
    UnknownChange(u8),
    /// Numbers that make no range.
    #[error("{first} to {last} is no range of entries")]
    Range {
        /// First entry.
        first: u32,
        /// Last entry.
        last: u32,
    },
    /// Text that is not the hexadecimal digits it should be.
    #[error("this is not the right number of small hexadecimal digits")]
    Hex,
    /// A public key that is no key.
    #[error("a device key is not a valid key")]
    BadKey,
    /// Meant for another notebook.
    #[error("this belongs to another notebook")]
    WrongNotebook,
    /// The signature does not fit.
    #[error("the signature does not fit")]
    Signature,
    /// Not certified by the membership log.
    #[error("the device {0} is not a member of this notebook")]
    NotCertified(DeviceId),
    /// The role does not allow it.
    #[error("the device {device} may not do this: its role is {role}")]
    RoleForbids {
        /// Which device.
        device: DeviceId,
        /// Its role.
        role: Role,
    },
    /// Sealed with a key that has been replaced, and not among what counts.
    #[error("sealed for key epoch {epoch}, which epoch {present} has replaced")]
    StaleEpoch {
        /// Epoch of the batch.
        epoch: u32,
        /// Present epoch.
        present: u32,
    },
    /// Sealed for an epoch that the membership log at hand has not reached.
    #[error("sealed for key epoch {epoch}, but the membership log ends at epoch {present}")]
    UnknownEpoch {
        /// Epoch of the batch.
        epoch: u32,
        /// Present epoch.
        present: u32,
    },
    /// The same entry with another content: two phones use one identity.
    #[error(
        "entry {number} of the device {device} exists twice with different content: two phones use one identity"
    )]
    Clash {
        /// Whose entry.
        device: DeviceId,
        /// Which one.
        number: u32,
    },
    /// Entries in between are missing.
    #[error("entries of the device {device} are missing: {last} is the last one here")]
    Gap {
        /// Whose entries.
        device: DeviceId,
        /// The last entry that is here.
        last: u32,
    },
    /// Opens with no key, or is not what its hash says.
    #[error("the content is damaged or sealed with another key")]
    Damaged,
    /// This device has no key of that epoch.
    #[error("this device holds no key of epoch {0}")]
    NoKey(u32),
    /// The opened content is not a list of changes.
    #[error("the opened content cannot be read: {0}")]
    Unreadable(String),
    /// Entries of the membership log in between are missing.
    #[error("entries of the membership log are missing: the next one is {next}")]
    MembershipGap {
        /// Number of the entry that is expected.
        next: u32,
    },
    /// Two membership logs with the same beginning.
    #[error("the membership log exists in two versions that part at entry {number}")]
    MembershipFork {
        /// Number of the first entry that differs.
        number: u32,
    },
    /// Signed by a device that does not own the notebook.
    #[error("the device {0} does not own this notebook")]
    NotOwner(DeviceId),
    /// Already a member.
    #[error("the device {0} is a member already")]
    AlreadyMember(DeviceId),
    /// Was a member with other keys.
    #[error("the device {0} was a member with other keys")]
    OtherKeys(DeviceId),
    /// A new epoch must keep its owner, and a recovery sheet stays one.
    #[error("a new epoch must keep the owner, and a recovery sheet must stay one")]
    MembersOfEpoch,
    /// A new epoch takes back what an earlier one had closed.
    #[error("a new epoch takes back entries that count")]
    ClosedGoesBack,
    /// More members than a notebook may have.
    #[error("a notebook may have at most {0} members")]
    TooManyMembers(usize),
    /// The snapshot says another thing than the entries here.
    #[error("the snapshot does not fit entry {number} of the device {device}")]
    SnapshotMismatch {
        /// Whose entry.
        device: DeviceId,
        /// Which one.
        number: u32,
    },
    /// A part that the snapshot does not list.
    #[error("the snapshot has no part with the hash {0}")]
    SnapshotPart(String),
    /// One change is larger than a batch can carry.
    #[error("one record is larger than the {limit} bytes that can be sent")]
    RecordTooLarge {
        /// Most bytes.
        limit: usize,
    },
    /// Not twelve words.
    #[error("there should be {expected} words, not {found}")]
    WordCount {
        /// How many it takes.
        expected: usize,
        /// How many there are.
        found: usize,
    },
    /// A word that is not in the list.
    #[error("word {0} is not in the list of words")]
    UnknownWord(usize),
    /// Words that do not belong together.
    #[error("these words do not belong together: one of them is wrong, or two changed places")]
    WordsDoNotFit,
    /// The pass has expired.
    #[error("the pass has expired")]
    Expired,
    /// A request that is not signed as it should be.
    #[error("the request carries no readable signature")]
    RequestForm,
    /// A request signed too long ago, or in the future.
    #[error("the request was signed at another time than now")]
    RequestTime,
}
