//! One entry of a membership log, as bytes.

use crate::DeviceId;
use crate::sync::keys::{SealedKey, WrappedKey};
use crate::sync::wire::{Reader, at_most, count_u16};
use crate::sync::{Certificate, Error, Hash, NotebookId, Role, Vector};

/// Most bytes of an entry: a new epoch with all members.
pub const MAX_BYTES: usize = 16 * 1024;

const LETTERS: [u8; 4] = *b"SBM1";

/// A member of a new epoch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Member {
    /// Which device.
    pub device: DeviceId,
    /// Its role from now on.
    pub role: Role,
    /// The epoch's key, sealed to it.
    pub key: SealedKey,
}

/// What an entry changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// Begins the notebook, with epoch 1.
    Found {
        /// Random, so that one owner can begin several.
        salt: [u8; 16],
        /// The first owner.
        owner: Certificate,
    },
    /// A device joins in the present epoch.
    Admit {
        /// Its keys and role.
        device: Certificate,
        /// The epoch's key, sealed to it.
        key: SealedKey,
    },
    /// A new epoch. Who is not listed is taken off; roles change only here.
    Rekey {
        /// Who stays.
        members: Vec<Member>,
        /// The key of the epoch before, sealed with the new one.
        previous: WrappedKey,
        /// What counts of the epochs before.
        closed: Vector,
    },
    /// The notebook gets another owner.
    HandOver {
        /// Who becomes the owner.
        to: DeviceId,
    },
}

/// An entry that has been read, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry<'a> {
    /// Which notebook; all zeros in its first entry.
    pub notebook: NotebookId,
    /// Its place in the log, from 0.
    pub number: u32,
    /// Hash of the entry before; all zeros in the first.
    pub before: Hash,
    /// Who signed it.
    pub signer: DeviceId,
    /// What it changes.
    pub change: Change,
    pub(super) signed: &'a [u8],
    pub(super) signature: &'a [u8; 64],
}

impl<'a> Entry<'a> {
    /// The entry with these bytes.
    ///
    /// # Errors
    /// When they are not those of an entry.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Error> {
        at_most(bytes, MAX_BYTES)?;
        let mut reader = Reader::message(bytes, LETTERS, "an entry of a membership log")?;
        let notebook = NotebookId::from_bytes(reader.array()?);
        let number = reader.u32()?;
        let before = Hash::from_bytes(reader.array()?);
        let signer = DeviceId::from_bytes(reader.array()?);
        let change = Change::take(&mut reader)?;
        let (signed, signature) = bytes.split_last_chunk().ok_or(Error::Cut)?;
        reader.bytes(signature.len())?;
        reader.end()?;
        let founds = matches!(change, Change::Found { .. });
        let at_start = notebook == NotebookId::default() && before == Hash::NONE;
        if founds != (number == 0) || (founds && !at_start) {
            return Err(Error::MembershipFork { number });
        }
        Ok(Self {
            notebook,
            number,
            before,
            signer,
            change,
            signed,
            signature,
        })
    }

    /// Of a new epoch: what counts of those before.
    #[must_use]
    pub const fn closed(&self) -> Option<&Vector> {
        match &self.change {
            Change::Rekey { closed, .. } => Some(closed),
            _ => None,
        }
    }
}

impl Change {
    fn take(reader: &mut Reader) -> Result<Self, Error> {
        Ok(match reader.u8()? {
            0 => Self::Found {
                salt: reader.array()?,
                owner: Certificate::take(reader)?,
            },
            1 => Self::Admit {
                device: Certificate::take(reader)?,
                key: reader.array()?,
            },
            2 => Self::Rekey {
                members: take_members(reader)?,
                previous: reader.array()?,
                closed: Vector::take(reader)?,
            },
            3 => Self::HandOver {
                to: DeviceId::from_bytes(reader.array()?),
            },
            other => return Err(Error::UnknownChange(other)),
        })
    }

    fn put(&self, into: &mut Vec<u8>) {
        match self {
            Self::Found { salt, owner } => {
                into.push(0);
                into.extend(salt);
                owner.put(into);
            }
            Self::Admit { device, key } => {
                into.push(1);
                device.put(into);
                into.extend(key);
            }
            Self::Rekey {
                members,
                previous,
                closed,
            } => {
                into.push(2);
                into.extend(count_u16(members.len()));
                for member in members {
                    into.extend(member.device.as_bytes());
                    into.push(member.role as u8);
                    into.extend(member.key);
                }
                into.extend(previous);
                into.extend(closed.bytes());
            }
            Self::HandOver { to } => {
                into.push(3);
                into.extend(to.as_bytes());
            }
        }
    }

    /// The bytes of an entry that is still to be signed.
    pub(super) fn unsigned(
        &self,
        notebook: NotebookId,
        number: u32,
        before: Hash,
        signer: DeviceId,
    ) -> Vec<u8> {
        let mut bytes = LETTERS.to_vec();
        bytes.extend(notebook.as_bytes());
        bytes.extend(number.to_be_bytes());
        bytes.extend(before.as_bytes());
        bytes.extend(signer.as_bytes());
        self.put(&mut bytes);
        bytes
    }
}

fn take_members(reader: &mut Reader) -> Result<Vec<Member>, Error> {
    let mut members: Vec<Member> = Vec::new();
    for _ in 0..reader.u16()? {
        let member = Member {
            device: DeviceId::from_bytes(reader.array()?),
            role: Role::read(reader.u8()?)?,
            key: reader.array()?,
        };
        if members
            .last()
            .is_some_and(|last| last.device >= member.device)
        {
            return Err(Error::Order);
        }
        members.push(member);
    }
    Ok(members)
}
