//! A relay that has gone back, and a phone of which there are two.

use devices::chance::Chance;
use devices::club_of_three::Three;
use devices::phone::{Fate, Link, Phone, Step};
use devices::relay::Relay;
use devices::samples::device;
use devices::store::Store;
use notebook::Change;
use notebook::sync::log::unconfirmed;
use notebook::sync::{DeviceSecret, Error, Vector};

/// A phone of the notebook's owner, with a store of its own.
fn owners_phone(three: &Three) -> Phone {
    let mut store = Store::default();
    let (entries, keys) = (three.entries.clone(), three.owner.keys.clone());
    let stored = store.transact(&mut Chance::of(1), |rows| {
        rows.membership = entries;
        rows.keys = keys;
    });
    assert_eq!(stored, Ok(()));
    let secret = DeviceSecret::from_bytes(device(1), &three.owner.secret.to_bytes());
    Phone::start(secret, store, 0)
}

fn relay_of(three: &Three) -> Relay {
    let mut relay = Relay::found(three.entries[0].clone()).unwrap();
    for entry in &three.entries {
        relay.put_entry(entry, false).unwrap();
    }
    relay
}

/// Steps until the phone waits for news or is refused something.
fn sync(phone: &mut Phone, relay: &mut Relay, chance: &mut Chance) -> Step {
    for _ in 0..100 {
        let mut link = Link {
            relay: Some(relay),
            fate: Fate::Arrives,
        };
        match phone.step(&mut link, chance).expect("no crash") {
            Step::Did => {}
            step => return step,
        }
    }
    panic!("it never comes to rest");
}

#[test]
fn a_relay_that_has_gone_back_is_given_everything_again() {
    let three = Three::of(1);
    let (mut phone, mut relay) = (owners_phone(&three), relay_of(&three));
    let mut chance = Chance::of(4);
    let backup = relay.clone();
    for _ in 0..3 {
        phone.write(&mut chance).unwrap();
        assert_eq!(sync(&mut phone, &mut relay, &mut chance), Step::InStep);
    }
    assert_eq!(relay.batch_count(), 3);
    relay = backup;
    assert_eq!(sync(&mut phone, &mut relay, &mut chance), Step::InStep);
    assert_eq!(relay.batch_count(), 3);
}

#[test]
fn a_cloned_device_is_told_so_and_its_writes_go_on_under_a_new_identity() {
    let three = Three::of(1);
    let (mut phone, mut relay) = (owners_phone(&three), relay_of(&three));
    let mut chance = Chance::of(4);
    phone.write(&mut chance).unwrap();
    assert_eq!(sync(&mut phone, &mut relay, &mut chance), Step::InStep);
    // A copy of the phone's storage goes on elsewhere.
    let secret = DeviceSecret::from_bytes(device(1), &three.owner.secret.to_bytes());
    let mut clone = Phone::start(secret, phone.store.clone(), 0);
    phone.write(&mut chance).unwrap();
    let written = clone.write(&mut chance).unwrap();
    assert_eq!(sync(&mut phone, &mut relay, &mut chance), Step::InStep);
    let before = relay.batch_count();
    let told = sync(&mut clone, &mut relay, &mut chance);
    let clash = Error::Clash {
        device: device(1),
        number: 2,
    };
    assert_eq!(told, Step::Refused(clash));
    assert_eq!(relay.batch_count(), before, "nothing of it was taken");

    let rows = clone.store.rows();
    let batches = rows.batches.values().map(Vec::as_slice);
    let confirmed = Vector::default();
    let changes = unconfirmed(&three.device(&three.owner), device(1), &confirmed, batches).unwrap();
    let changes = [changes, rows.waiting.values().cloned().collect()].concat();
    let key = |change: &Change| (change.store.clone(), change.id().unwrap());
    assert!(changes.iter().map(key).any(|key| key == written.key));
}
