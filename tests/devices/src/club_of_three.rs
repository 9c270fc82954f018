//! A notebook with an owner, a writer and a reader, for tests of single rules.

use crate::chance::Chance;
use crate::samples::{self, device};
use crate::time::{set_wall_s, wall};
use notebook::sync::batch::Sealed;
use notebook::sync::log::{Device, NewBatch};
use notebook::sync::membership::{Signing, found};
use notebook::sync::{DeviceSecret, Keys, Membership, Point, Role};
use notebook::{Change, Kind, RecordId, StampClock};

/// A device with what it holds of the notebook.
pub struct Member {
    /// Its secret keys.
    pub secret: DeviceSecret,
    /// Its keys of the notebook.
    pub keys: Keys,
}

/// The notebook.
pub struct Three {
    /// Randomness of the test.
    pub chance: Chance,
    /// The membership log.
    pub membership: Membership,
    /// Its entries.
    pub entries: Vec<Vec<u8>>,
    /// The owner, a coach.
    pub owner: Member,
    /// A parent.
    pub parent: Member,
    /// A read-only device.
    pub reader: Member,
}

impl Three {
    /// The notebook that `number` determines.
    ///
    /// # Panics
    /// When the code under test does not let its own members in.
    #[must_use]
    pub fn of(number: u64) -> Self {
        let mut chance = Chance::of(number);
        let owner = DeviceSecret::draw(device(1), &mut chance);
        let (membership, entry, keys) =
            found(&owner, Role::Coach, &mut chance).expect("a coach may own");
        let mut three = Self {
            parent: Member::draw(2, &mut chance),
            reader: Member::draw(3, &mut chance),
            owner: Member {
                secret: owner,
                keys,
            },
            entries: vec![entry],
            membership,
            chance,
        };
        for (certificate, role) in [
            (three.parent.secret.certificate(Role::Parent), Role::Parent),
            (
                three.reader.secret.certificate(Role::ReadOnly),
                Role::ReadOnly,
            ),
        ] {
            assert_eq!(certificate.role, role);
            let entry = three
                .signing()
                .admit(certificate, &mut Chance::of(number + 7));
            three.append(entry.expect("admitted"));
        }
        three
    }

    /// The owner at work.
    #[must_use]
    pub const fn signing(&self) -> Signing<'_> {
        Signing {
            membership: &self.membership,
            secret: &self.owner.secret,
            keys: &self.owner.keys,
        }
    }

    /// Takes in an entry, and lets everybody learn its keys.
    ///
    /// # Panics
    /// When it does not follow.
    pub fn append(&mut self, entry: Vec<u8>) {
        self.membership.append(&entry).expect("it follows");
        self.entries.push(entry);
        for member in [&mut self.owner, &mut self.parent, &mut self.reader] {
            let learned = member.keys.learn(&self.membership, &member.secret);
            learned.expect("the log's keys open");
        }
    }

    /// A member at work on its log.
    #[must_use]
    pub const fn device<'a>(&'a self, member: &'a Member) -> Device<'a> {
        Device {
            secret: &member.secret,
            membership: &self.membership,
            keys: &member.keys,
        }
    }

    /// A batch by the parent after `tip`, with this many new hitters.
    ///
    /// # Panics
    /// When it cannot be sealed.
    #[must_use]
    pub fn batch(&self, tip: Option<Point>, count: usize, number: u64) -> NewBatch {
        let changes = hitters(count, number);
        let sealed = self
            .device(&self.parent)
            .seal(tip, &changes, &mut Chance::of(number));
        sealed.expect("a parent writes").expect("something waits")
    }
}

impl Member {
    fn draw(number: u8, chance: &mut Chance) -> Self {
        Self {
            secret: DeviceSecret::draw(device(number), chance),
            keys: Keys::default(),
        }
    }
}

/// New hitters, as changes.
///
/// # Panics
/// Never: records are JSON.
#[must_use]
pub fn hitters(count: usize, number: u64) -> Vec<Change> {
    set_wall_s(1_750_000_000);
    let clock = StampClock::start(device(2), wall, None);
    let mut chance = Chance::of(number);
    (0..count)
        .map(|_| {
            let id = RecordId::from_bytes(chance.sixteen());
            let hitter = samples::hitter(id, "Ada", &clock);
            let record = serde_json::to_value(hitter).expect("records are JSON");
            Change::between(Kind::Hitter.store(), None, &record)
        })
        .collect()
}

/// The header of a batch.
///
/// # Panics
/// When it is none.
#[must_use]
pub fn header(bytes: &[u8]) -> notebook::sync::batch::Header {
    Sealed::read(bytes).expect("a batch").header
}
