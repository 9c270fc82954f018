//! A relay in memory that answers as the real one: it holds no key, checks
//! with the same functions, and may be put back to an older state.

use notebook::DeviceId;
use notebook::sync::acknowledgement::Acknowledgement;
use notebook::sync::batch::{Header, Held, Place, Sealed, place};
use notebook::sync::exchange::{AnswerHead, ReadAnswer, ReadRequest, Then};
use notebook::sync::membership::{Appended, Entry};
use notebook::sync::problem::Problem;
use notebook::sync::snapshot::{Manifest, Snapshot};
use notebook::sync::{Error, Membership, Role, Vector};
use std::collections::BTreeMap;

/// Batches handed out in one answer: few, so that reading has to go on.
const BATCHES_IN_ANSWER: usize = 3;

/// The relay's state of one notebook. A clone is a backup.
#[derive(Clone)]
pub struct Relay {
    entries: Vec<Vec<u8>>,
    membership: Membership,
    batches: BTreeMap<(DeviceId, u32), Vec<u8>>,
    tips: Vector,
    floor: Vector,
    acknowledged: BTreeMap<DeviceId, Vector>,
    snapshot: Option<Snapshot>,
}

impl Relay {
    /// A relay with a new notebook.
    ///
    /// # Errors
    /// When the entry is no first one.
    pub fn found(entry: Vec<u8>) -> Result<Self, Error> {
        Ok(Self {
            membership: Membership::found(&entry)?,
            entries: vec![entry],
            batches: BTreeMap::new(),
            tips: Vector::default(),
            floor: Vector::default(),
            acknowledged: BTreeMap::new(),
            snapshot: None,
        })
    }

    /// Whether the device may read: reading is for present members.
    #[must_use]
    pub fn serves(&self, device: DeviceId) -> bool {
        self.membership.device(device).is_some()
    }

    /// All that it has.
    #[must_use]
    pub const fn tips(&self) -> &Vector {
        &self.tips
    }

    /// How many batches it holds.
    #[must_use]
    pub fn batch_count(&self) -> usize {
        self.batches.len()
    }

    /// The membership entries from a number on.
    #[must_use]
    pub fn membership_from(&self, from: u32) -> Vec<Vec<u8>> {
        let from = usize::try_from(from).unwrap_or(usize::MAX);
        self.entries.get(from..).unwrap_or_default().to_vec()
    }

    /// Takes a membership entry; `again` when it stood in a log before.
    ///
    /// # Errors
    /// The problem that the relay would answer.
    pub fn put_entry(&mut self, bytes: &[u8], again: bool) -> Result<(), Problem> {
        let mut after = self.membership.clone();
        if after.append(bytes).map_err(|error| error.problem())? == Appended::Known {
            return Ok(());
        }
        let entry = Entry::read(bytes).map_err(|error| error.problem())?;
        if let Some(closed) = entry.closed() {
            let beyond = self.tips.missing_from(closed);
            if !again && !beyond.is_empty() {
                return Err(Problem::NotInStep);
            }
            for (author, first) in beyond {
                self.drop_from(author, first, closed);
            }
        }
        self.membership = after;
        self.entries.push(bytes.to_vec());
        Ok(())
    }

    fn drop_from(&mut self, author: DeviceId, first: u32, closed: &Vector) {
        self.batches
            .retain(|(device, at), _| *device != author || *at < first);
        match closed.get(author) {
            Some(point) => self.tips.set(author, point),
            None => self.tips.remove(author),
        }
    }

    /// Takes a batch.
    ///
    /// # Errors
    /// As the relay's refusal, with what it says.
    pub fn append(&mut self, bytes: &[u8]) -> Result<(), Error> {
        let sealed = Sealed::read(bytes)?;
        self.membership.check_batch(&sealed)?;
        let header = sealed.header;
        let key = (header.device, header.first);
        let held = self.batches.get(&key).and_then(|bytes| held_in(bytes));
        match place(&header, self.tips.get(header.device), held)? {
            Place::Next => {
                self.tips.set(header.device, header.point());
                self.batches.insert(key, bytes.to_vec());
            }
            Place::Resealed => {
                self.batches.insert(key, bytes.to_vec());
            }
            Place::Known => {}
        }
        Ok(())
    }

    /// Answers a request to read.
    #[must_use]
    pub fn read(&self, request: &ReadRequest) -> ReadAnswer<Vec<u8>> {
        let mut head = AnswerHead {
            members: self.membership.len(),
            then: Then::Nothing,
            heads: self.tips.clone(),
        };
        if request.members != head.members {
            head.then = Then::More;
            return ReadAnswer {
                head,
                batches: Vec::new(),
            };
        }
        let behind = |(author, point): (DeviceId, notebook::sync::Point)| {
            request.vector.last(author) < point.last
        };
        if self.floor.iter().any(behind) {
            head.then = Then::SnapshotFirst;
            return ReadAnswer {
                head,
                batches: Vec::new(),
            };
        }
        let mut batches = Vec::new();
        for ((author, first), bytes) in &self.batches {
            if *first > request.vector.last(*author) {
                if batches.len() == BATCHES_IN_ANSWER {
                    head.then = Then::More;
                    break;
                }
                batches.push(bytes.clone());
            }
        }
        ReadAnswer { head, batches }
    }

    /// Takes an acknowledgement.
    ///
    /// # Errors
    /// When it is not one of a member.
    pub fn acknowledge(&mut self, bytes: &[u8]) -> Result<(), Error> {
        let acknowledgement = Acknowledgement::read(bytes)?;
        acknowledgement.check(&self.membership)?;
        let kept = self.acknowledged.entry(acknowledgement.device).or_default();
        if acknowledgement.vector.covers(kept) {
            *kept = acknowledgement.vector;
        }
        self.compact();
        Ok(())
    }

    /// Takes a snapshot.
    ///
    /// # Errors
    /// The problem that the relay would answer.
    pub fn put_snapshot(&mut self, snapshot: &Snapshot) -> Result<(), Problem> {
        let manifest = Manifest::read(&snapshot.manifest).map_err(|error| error.problem())?;
        manifest
            .check(&self.membership)
            .map_err(|error| error.problem())?;
        for (author, point) in manifest.vector.iter() {
            let tip = self.tips.get(author);
            if tip.is_some_and(|tip| tip.last == point.last && tip.hash != point.hash) {
                return Err(Problem::SnapshotMismatch);
            }
        }
        if let Some(kept) = &self.snapshot {
            let kept = Manifest::read(&kept.manifest).map_err(|error| error.problem())?;
            if !manifest.vector.covers(&kept.vector) {
                return Err(Problem::SnapshotOlder);
            }
        }
        for (author, point) in manifest.vector.iter() {
            if self.tips.last(author) < point.last {
                self.tips.set(author, point);
                self.remove_to(author, point);
            }
        }
        self.snapshot = Some(snapshot.clone());
        self.compact();
        Ok(())
    }

    /// The snapshot, if there is one.
    #[must_use]
    pub fn snapshot(&self) -> Option<Snapshot> {
        self.snapshot.clone()
    }

    /// Removes what lies behind the snapshot once every member has
    /// acknowledged it.
    fn compact(&mut self) {
        let Some(snapshot) = self.snapshot.clone() else {
            return;
        };
        let Ok(manifest) = Manifest::read(&snapshot.manifest) else {
            return;
        };
        let acknowledged = |device| {
            let vector = self.acknowledged.get(&device);
            vector.is_some_and(|vector| vector.covers(&manifest.vector))
        };
        let all = self
            .membership
            .members()
            .all(|phone| phone.role == Role::Recovery || acknowledged(phone.device));
        if all {
            for (author, point) in manifest.vector.iter() {
                self.remove_to(author, point);
            }
        }
    }

    fn remove_to(&mut self, author: DeviceId, point: notebook::sync::Point) {
        self.batches
            .retain(|(device, first), _| *device != author || *first > point.last);
        if self.floor.last(author) < point.last {
            self.floor.set(author, point);
        }
    }
}

fn held_in(bytes: &[u8]) -> Option<Held> {
    let Header { content, epoch, .. } = Sealed::read(bytes).ok()?.header;
    Some(Held { content, epoch })
}
