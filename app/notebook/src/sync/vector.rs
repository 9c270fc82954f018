//! Version vectors: how far each author's log is known.

use super::wire::{Reader, count_u16};
use super::{Error, Hash};
use crate::DeviceId;
use std::collections::BTreeMap;

/// A place in one author's log, always the end of a batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Number of the last entry, from 1.
    pub last: u32,
    /// Content hash of the batch that ends there; by it the whole chain before.
    pub hash: Hash,
}

/// How far each author's log is known: all entries up to each author's point.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Vector(BTreeMap<DeviceId, Point>);

impl Vector {
    /// The author's point; `None` when nothing of it is known.
    #[must_use]
    pub fn get(&self, author: DeviceId) -> Option<Point> {
        self.0.get(&author).copied()
    }

    /// Number of the author's last entry; 0 when nothing of it is known.
    #[must_use]
    pub fn last(&self, author: DeviceId) -> u32 {
        self.get(author).map_or(0, |point| point.last)
    }

    /// Puts the author's point.
    pub fn set(&mut self, author: DeviceId, point: Point) {
        self.0.insert(author, point);
    }

    /// Forgets the author.
    pub fn remove(&mut self, author: DeviceId) {
        self.0.remove(&author);
    }

    /// All authors and their points, in order of device.
    pub fn iter(&self) -> impl Iterator<Item = (DeviceId, Point)> + '_ {
        self.0.iter().map(|(author, point)| (*author, *point))
    }

    /// Whether nothing is known.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether all that `other` knows lies within this one. Equal numbers with
    /// unequal hashes do not.
    #[must_use]
    pub fn covers(&self, other: &Self) -> bool {
        other.iter().all(|(author, theirs)| {
            self.get(author).is_some_and(|mine| {
                mine.last > theirs.last || (mine.last == theirs.last && mine.hash == theirs.hash)
            })
        })
    }

    /// The authors of whom `other` lacks something that is known here, each
    /// with the first entry that it lacks.
    #[must_use]
    pub fn missing_from(&self, other: &Self) -> Vec<(DeviceId, u32)> {
        self.iter()
            .filter(|(author, point)| other.last(*author) < point.last)
            .map(|(author, _)| (author, other.last(author) + 1))
            .collect()
    }

    /// Takes each author's further point of the two.
    pub fn join(&mut self, other: &Self) {
        for (author, theirs) in other.iter() {
            if self.last(author) < theirs.last {
                self.set(author, theirs);
            }
        }
    }

    /// Its bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut bytes = count_u16(self.0.len()).to_vec();
        for (author, point) in self.iter() {
            bytes.extend(author.as_bytes());
            bytes.extend(point.last.to_be_bytes());
            bytes.extend(point.hash.as_bytes());
        }
        bytes
    }

    /// The vector with exactly these bytes.
    ///
    /// # Errors
    /// When they are not those of a vector.
    pub fn read(bytes: &[u8]) -> Result<Self, Error> {
        let mut reader = Reader::new(bytes);
        let vector = Self::take(&mut reader)?;
        reader.end()?;
        Ok(vector)
    }

    pub(crate) fn take(reader: &mut Reader) -> Result<Self, Error> {
        let mut vector = Self::default();
        for _ in 0..reader.u16()? {
            let author = DeviceId::from_bytes(reader.array()?);
            let last = reader.u32()?;
            let hash = Hash::from_bytes(reader.array()?);
            if last == 0 {
                return Err(Error::Range { first: 1, last });
            }
            if vector
                .0
                .last_key_value()
                .is_some_and(|(before, _)| *before >= author)
            {
                return Err(Error::Order);
            }
            vector.set(author, Point { last, hash });
        }
        Ok(vector)
    }
}
