//! The exchange in a small world, tried out completely: two phones and a relay,
//! every order of their steps, every message lost, answered in vain, repeated or
//! cut, the relay put back. Real code and real sealing throughout.
//!
//! Method: explicit enumeration of all reachable states with a check in each
//! (L. Lamport, Specifying Systems, 2002, chapter 14, the TLC model checker), in
//! a world kept small because faults of such protocols show in small ones (D.
//! Jackson, Software Abstractions, 2006, the small scope hypothesis).

use devices::chance::Chance;
use devices::club_of_three::{Member, Three};
use devices::phone::{Confirmed, Fate, Link, Phone, Step};
use devices::relay::Relay;
use devices::store::{Power, Store};
use notebook::DeviceId;
use notebook::sync::{DeviceSecret, Error, Vector};
use std::collections::{HashSet, VecDeque};

/// Steps within which two phones that can talk come to rest.
const STEPS_TO_MEET: usize = 60;

struct World {
    phones: [Phone; 2],
    relay: Relay,
    backup: Option<Relay>,
    went_back: bool,
    writes: [usize; 2],
    confirmed: Vec<Confirmed>,
}

#[derive(Debug, Clone, Copy)]
enum Happening {
    Write(usize),
    Step(usize, Fate),
    Restart(usize),
    BackUp,
    GoBack,
}

fn phone(three: &Three, member: &Member) -> Phone {
    let mut store = Store::default();
    let stored = store.transact(&mut Chance::of(1), |rows| {
        rows.membership.clone_from(&three.entries);
        rows.keys = member.keys.clone();
    });
    assert_eq!(stored, Ok(()));
    let device = member.secret.device();
    Phone::start(
        DeviceSecret::from_bytes(device, &member.secret.to_bytes()),
        store,
        0,
    )
}

fn beginning() -> World {
    let three = Three::of(1);
    let mut relay = Relay::found(three.entries[0].clone()).unwrap();
    for entry in &three.entries {
        relay.put_entry(entry, false).unwrap();
    }
    World {
        phones: [phone(&three, &three.owner), phone(&three, &three.parent)],
        relay,
        backup: None,
        went_back: false,
        writes: [0, 0],
        confirmed: Vec::new(),
    }
}

impl World {
    fn fork(&self) -> Self {
        Self {
            phones: [self.phones[0].fork(), self.phones[1].fork()],
            relay: self.relay.clone(),
            backup: self.backup.clone(),
            went_back: self.went_back,
            writes: self.writes,
            confirmed: self.confirmed.clone(),
        }
    }

    /// What distinguishes states: how far everybody is and believes others to
    /// be. Salts, nonces and ids differ from path to path and decide nothing.
    fn key(&self) -> String {
        let lasts = |vector: &Vector| -> Vec<(DeviceId, u32)> {
            vector
                .iter()
                .map(|(author, point)| (author, point.last))
                .collect()
        };
        let phones = self.phones.each_ref().map(|phone| {
            let (here, there) = phone.beliefs();
            let rows = phone.store.rows();
            (
                lasts(&here.vector),
                rows.waiting.len(),
                rows.batches.keys().copied().collect::<Vec<_>>(),
                lasts(&here.acknowledged),
                there.heads().map(lasts),
                there.then(),
            )
        });
        let relay = (lasts(self.relay.tips()), self.relay.batch_count());
        let backup = self.backup.as_ref().map(|relay| lasts(relay.tips()));
        format!(
            "{phones:?} {relay:?} {backup:?} {} {:?}",
            self.went_back, self.writes
        )
    }

    fn happenings(&self, writes: [usize; 2], goes_back: bool) -> Vec<Happening> {
        let mut happenings = Vec::new();
        for (one, most) in writes.into_iter().enumerate() {
            if self.writes[one] < most {
                happenings.push(Happening::Write(one));
            }
            let fates = [
                Fate::Arrives,
                Fate::AskLost,
                Fate::AnswerLost,
                Fate::Twice,
                Fate::AnswerCut,
            ];
            happenings.extend(fates.map(|fate| Happening::Step(one, fate)));
            happenings.push(Happening::Restart(one));
        }
        if goes_back && self.backup.is_none() {
            happenings.push(Happening::BackUp);
        }
        if self.backup.is_some() && !self.went_back {
            happenings.push(Happening::GoBack);
        }
        happenings
    }

    fn happen(&mut self, happening: Happening, chance: &mut Chance) {
        match happening {
            Happening::Write(one) => {
                self.confirmed.push(self.phones[one].write(chance).unwrap());
                self.writes[one] += 1;
            }
            Happening::Step(one, fate) => {
                let step = self.step(one, fate, chance);
                let harmless = matches!(step, Step::Refused(Error::Gap { .. }));
                assert!(harmless || !matches!(step, Step::Refused(_)), "{step:?}");
            }
            Happening::Restart(one) => {
                let phone = self.phones[one].fork();
                self.phones[one] = phone.restart();
            }
            Happening::BackUp => self.backup = Some(self.relay.clone()),
            Happening::GoBack => {
                self.relay = self.backup.clone().unwrap();
                self.went_back = true;
            }
        }
    }

    fn step(&mut self, one: usize, fate: Fate, chance: &mut Chance) -> Step {
        let mut link = Link {
            relay: Some(&mut self.relay),
            fate,
        };
        self.phones[one].step(&mut link, chance).unwrap()
    }

    /// From here on everything works: both must come to the same records, and
    /// have all that was confirmed.
    fn check_meets(&self, chance: &mut Chance) {
        let mut world = self.fork();
        let mut rests = 0;
        for turn in 0..STEPS_TO_MEET {
            let step = world.step(turn % 2, Fate::Arrives, chance);
            rests = if step == Step::InStep { rests + 1 } else { 0 };
            if rests == 4 {
                break;
            }
        }
        assert_eq!(rests, 4, "they never come to rest from {}", self.key());
        let [one, other] = &world.phones;
        assert_eq!(one.records(), other.records());
        assert_eq!(one.store.rows().vector, *world.relay.tips());
        for confirmed in &world.confirmed {
            let record = &one.records()[&confirmed.key].to_string();
            assert!(
                record.contains(&confirmed.stamp.to_string()),
                "{confirmed:?} is lost"
            );
        }
    }
}

/// Tries out every state that can be reached; gives how many there are.
fn explore(writes: [usize; 2], goes_back: bool) -> usize {
    let mut chance = Chance::of(2);
    let first = beginning();
    let mut seen = HashSet::from([first.key()]);
    let mut open = VecDeque::from([first]);
    while let Some(world) = open.pop_front() {
        world.check_meets(&mut chance);
        for happening in world.happenings(writes, goes_back) {
            let mut next = world.fork();
            next.happen(happening, &mut chance);
            if seen.insert(next.key()) {
                open.push_back(next);
            }
        }
    }
    seen.len()
}

#[test]
fn two_phones_meet_from_every_state_that_losses_and_repeats_lead_to() {
    let states = explore([2, 1], false);
    println!("{states} states");
    assert!(
        states > 500,
        "the world is smaller than it should be: {states}"
    );
}

#[test]
fn two_phones_meet_from_every_state_when_the_relay_goes_back_too() {
    let states = explore([1, 1], true);
    println!("{states} states");
    assert!(
        states > 500,
        "the world is smaller than it should be: {states}"
    );
}

/// One script, with the power failing at each of its writes in turn, before and
/// after: what was confirmed is there, and everybody meets.
#[test]
fn a_crash_at_any_write_leaves_either_before_or_after() {
    let mut crashes = 0;
    for at in 1.. {
        for power in [Power::FailsBefore, Power::FailsAfter] {
            for one in 0..2 {
                let mut world = beginning();
                world.phones[one].store.crash_at =
                    Some((world.phones[one].store.transactions + at, power));
                crashes += usize::from(!script_comes_through(&mut world));
            }
        }
        if crashes < 4 * usize::try_from(at).unwrap() {
            break;
        }
    }
    assert!(crashes > 20, "the script has few writes: {crashes}");
}

/// Both write and exchange for a while; says whether no power failed.
fn script_comes_through(world: &mut World) -> bool {
    let mut chance = Chance::of(3);
    let mut whole = true;
    for turn in 0..40 {
        let one = turn % 2;
        let phone = &mut world.phones[one];
        let crashed = if turn % 5 == 0 {
            match phone.write(&mut chance) {
                Ok(confirmed) => {
                    world.confirmed.push(confirmed);
                    false
                }
                Err(_) => true,
            }
        } else {
            let mut link = Link {
                relay: Some(&mut world.relay),
                fate: Fate::Arrives,
            };
            phone.step(&mut link, &mut chance).is_err()
        };
        if crashed {
            whole = false;
            let mut phone = phone.fork();
            phone.store.crash_at = None;
            world.phones[one] = phone.restart();
        }
    }
    for phone in &mut world.phones {
        phone.store.crash_at = None;
    }
    world.check_meets(&mut chance);
    whole
}
