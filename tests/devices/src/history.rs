//! One history: two to six phones and a relay, and everything that can happen
//! to them, all from one number. Afterwards everything works again, and they
//! must come to the same records with nothing confirmed lost.

mod ending;

use crate::chance::Chance;
use crate::phone::{Confirmed, Entering, Fate, Link, Phone, Step};
use crate::relay::Relay;
use crate::samples::device;
use crate::store::{Crash, Store};
use ending::holds;
use notebook::DeviceId;
use notebook::sync::membership::found;
use notebook::sync::{DeviceSecret, Role, file};

/// Things that happen in a history.
const HAPPENINGS: usize = 160;

/// What a history came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Whether all phones ended with the same records, in step with the relay.
    pub converged: bool,
    /// Writes that were confirmed and must be found.
    pub confirmed: usize,
    /// Those that are not on every phone.
    pub lost: usize,
    /// What happened, for whoever looks for a fault.
    pub told: Vec<String>,
}

struct World {
    chance: Chance,
    now_s: u64,
    relay: Relay,
    backups: Vec<Relay>,
    /// A phone that crashes is switched on again at once.
    phones: Vec<Phone>,
    online: Vec<bool>,
    confirmed: Vec<Confirmed>,
    roles: Vec<Role>,
    told: Vec<String>,
    next_device: u8,
}

/// The history that `number` determines.
///
/// # Panics
/// When the code under test breaks a promise that the phones build on.
#[must_use]
pub fn run(number: u64) -> Outcome {
    let mut world = World::begin(number);
    for _ in 0..HAPPENINGS {
        world.now_s += 1 + world.chance.below(7200) as u64;
        world.something_happens();
    }
    world.everything_works_again();
    let converged = world.meet();
    world.outcome(converged)
}

impl World {
    fn begin(number: u64) -> Self {
        let mut chance = Chance::of(number);
        let owner = DeviceSecret::draw(device(1), &mut chance);
        let (_, entry, keys) = found(&owner, Role::Coach, &mut chance).expect("a coach may own");
        let mut store = Store::default();
        store
            .transact(&mut chance, |rows| {
                rows.membership.push(entry.clone());
                rows.keys = keys;
            })
            .expect("nothing crashes yet");
        let mut world = Self {
            relay: Relay::found(entry).expect("a first entry"),
            backups: Vec::new(),
            phones: vec![Phone::start(owner, store, 0)],
            online: vec![true],
            confirmed: Vec::new(),
            roles: vec![Role::Coach],
            told: Vec::new(),
            now_s: 1_750_000_000,
            next_device: 2,
            chance,
        };
        let more = 1 + world.chance.below(5);
        for _ in 0..more {
            world.join();
        }
        for phone in &mut world.phones {
            phone.skew_s = *world
                .chance
                .one_of(&[0, 3, -40, 86_400, -31_000_000, 400_000_000]);
            phone.store.crash_percent = 15;
        }
        world
    }

    fn owner(&self) -> usize {
        let owners = self
            .phones
            .iter()
            .map(|phone| phone.membership().owner() == phone.me());
        owners.into_iter().rposition_or_first()
    }

    /// A new phone is admitted and gets the membership log.
    fn join(&mut self) {
        let role = *self.chance.one_of(&[
            Role::Coach,
            Role::Parent,
            Role::Player,
            Role::Parent,
            Role::ReadOnly,
        ]);
        let secret = DeviceSecret::draw(device(self.next_device), &mut self.chance);
        self.next_device += 1;
        let owner = self.owner();
        self.enter(owner, Entering::Admit(secret.certificate(role)));
        if !self.relay.serves(secret.device()) {
            return;
        }
        let mut store = Store::default();
        let entries = self.relay.membership_from(0);
        store
            .transact(&mut self.chance, |rows| rows.membership = entries.clone())
            .expect("nothing crashes yet");
        let mut phone = Phone::start(secret, store, 0);
        let learned = phone.take_entries(&entries, &mut self.chance);
        assert_eq!(learned, Ok(Step::Did));
        phone.store.crash_percent = self.phones[0].store.crash_percent;
        self.told.push(format!("{} joins as {role}", phone.me()));
        self.phones.push(phone);
        self.online.push(true);
        self.roles.push(role);
    }

    /// The owner makes an entry and tries to bring it.
    fn enter(&mut self, owner: usize, entering: Entering) {
        let made = self.phones[owner].propose_entry(entering, &mut self.chance);
        self.told.push(format!("{entering:?}: {made:?}"));
        if made.is_err() {
            self.restart(owner);
        }
        for _ in 0..6 {
            self.step(owner, 0);
        }
    }

    fn something_happens(&mut self) {
        let one = self.chance.below(self.phones.len());
        match self.chance.below(100) {
            0..35 => self.write(one),
            35..70 => {
                for _ in 0..=self.chance.below(12) {
                    self.step(one, 15);
                }
            }
            70..78 => self.online[one] = !self.online[one],
            78..86 => self.hand_file(one),
            86..89 => self.restart(one),
            89..91 => self.backups.push(self.relay.clone()),
            91..93 => self.roll_back(),
            93..95 => self.snapshot(),
            95..96 if self.phones.len() < 6 => self.join(),
            96..97 => self.take_off(),
            97..98 => self.hand_over(),
            98..99 => self.change_role(),
            _ => self.drop_behind(one),
        }
    }

    fn write(&mut self, one: usize) {
        if !self.phones[one].may_write() {
            return;
        }
        self.phones[one].look_at_clock(self.now_s);
        match self.phones[one].write(&mut self.chance) {
            Ok(confirmed) => {
                self.told
                    .push(format!("{} writes {:?}", confirmed.by, confirmed.key));
                self.confirmed.push(confirmed);
            }
            Err(Crash) => self.restart(one),
        }
    }

    fn step(&mut self, one: usize, loss_percent: usize) -> Option<Step> {
        let phone = &mut self.phones[one];
        if !self.relay.serves(phone.me()) {
            return None;
        }
        phone.look_at_clock(self.now_s);
        let mut link = Link {
            relay: self.online[one].then_some(&mut self.relay),
            fate: Fate::Chances(loss_percent),
        };
        match phone.step(&mut link, &mut self.chance) {
            Ok(step) => {
                let ask = phone.last_ask.as_ref();
                self.told.push(format!("{} {ask:?}: {step:?}", phone.me()));
                Some(step)
            }
            Err(Crash) => {
                self.restart(one);
                None
            }
        }
    }

    fn restart(&mut self, one: usize) {
        let phone = self.phones.remove(one);
        phone.look_at_clock(self.now_s);
        self.told.push(format!("{} goes off and on", phone.me()));
        self.phones.insert(one, phone.restart());
    }

    /// A file goes from one phone to another: damaged, out of order or whole.
    fn hand_file(&mut self, from: usize) {
        let to = self.chance.below(self.phones.len());
        let mut bytes = self.phones[from].file();
        if self.chance.percent(20) {
            let at = self.chance.below(bytes.len());
            bytes[at] ^= 1 << self.chance.below(8);
            assert!(file::read(&bytes).is_err(), "a damaged file is refused");
            return;
        }
        let (_, mut messages) = file::read(&bytes).expect("a whole file");
        if self.chance.percent(30) {
            let at = self.chance.below(messages.len());
            messages.rotate_left(at);
        }
        self.phones[to].look_at_clock(self.now_s);
        for message in messages {
            let phone = &mut self.phones[to];
            let taken = match message {
                file::Message::Membership(entry) => {
                    phone.take_entries(&[entry], &mut self.chance).map(|_| ())
                }
                file::Message::Batch(batch) => phone.take_in(batch, &mut self.chance).map(|_| ()),
                _ => Ok(()),
            };
            if taken.is_err() {
                self.restart(to);
            }
        }
        self.told.push(format!("a file from {from} to {to}"));
    }

    fn roll_back(&mut self) {
        if !self.backups.is_empty() {
            let backup = self.chance.one_of(&self.backups).clone();
            self.relay = backup;
            self.told.push("the relay goes back".to_owned());
        }
    }

    fn snapshot(&mut self) {
        let owner = self.owner();
        let mut link = Link {
            relay: self.online[owner].then_some(&mut self.relay),
            fate: Fate::Chances(10),
        };
        let step = self.phones[owner].make_snapshot(&mut link, &mut self.chance);
        self.told.push(format!("snapshot: {step:?}"));
    }

    fn drop_behind(&mut self, one: usize) {
        let relay = self.relay.clone();
        if self.phones[one]
            .drop_behind(&relay, &mut self.chance)
            .is_err()
        {
            self.restart(one);
        }
    }

    fn take_off(&mut self) {
        let (owner, one) = (self.owner(), self.chance.below(self.phones.len()));
        if one == owner || self.phones.len() < 3 || !self.online[owner] {
            return;
        }
        let off = self.phones[one].me();
        self.enter(owner, Entering::TakeOff(off));
        let owner = self.owner();
        if self.phones[owner].membership().device(off).is_none() {
            self.goes_off(off);
        }
    }

    /// What a phone that is taken off had to itself stays with it; what another
    /// that may write has must not be lost.
    fn goes_off(&mut self, off: DeviceId) {
        let Some(one) = self.phones.iter().position(|phone| phone.me() == off) else {
            return;
        };
        self.phones.remove(one);
        self.online.remove(one);
        self.roles.remove(one);
        let phones = &self.phones;
        let writes = |phone: &&Phone| phone.may_write();
        self.confirmed.retain(|confirmed| {
            phones.iter().any(|phone| phone.me() == confirmed.by)
                || phones
                    .iter()
                    .filter(writes)
                    .any(|phone| holds(phone, confirmed))
        });
        self.told.push(format!("{off} is taken off"));
    }

    fn hand_over(&mut self) {
        let (owner, one) = (self.owner(), self.chance.below(self.phones.len()));
        if one != owner && self.online[owner] {
            let to = self.phones[one].me();
            self.enter(owner, Entering::HandOver(to));
        }
    }

    fn change_role(&mut self) {
        let (owner, one) = (self.owner(), self.chance.below(self.phones.len()));
        if one != owner && self.online[owner] {
            let of = self.phones[one].me();
            let role = *self.chance.one_of(&[Role::Coach, Role::Parent]);
            self.enter(owner, Entering::Change(of, role));
        }
    }
}

/// Finding the owner: of two phones that both believe to be it, the later one.
trait Position {
    fn rposition_or_first(self) -> usize;
}

impl<I: Iterator<Item = bool>> Position for I {
    fn rposition_or_first(self) -> usize {
        let owners = self.enumerate().filter(|(_, owns)| *owns);
        owners.last().map_or(0, |(place, _)| place)
    }
}
