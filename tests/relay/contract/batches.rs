//! Appending: what is taken, and that nothing else is, whatever is wrong with it.

use notebook::sync::{Role, Vector};
use relay_tests::phone::{post, vector_of};
use relay_tests::{Answer, Client, Phone, Relay, Store, on_both_databases};
use serde_json::json;

on_both_databases! {
    batches_are_taken_in_order_and_a_repeat_changes_nothing
    a_gap_and_a_clash_are_told_with_their_numbers
    whoever_may_not_write_is_refused_and_nothing_is_stored
    no_flipped_bit_is_taken
    a_batch_of_another_notebook_is_refused
    a_batch_is_sealed_again_after_a_new_epoch
    the_log_outlives_the_process
}

fn refused(phone: &Phone, client: &mut Client, sealed: &[u8]) -> (u16, String) {
    phone.bring(client, sealed).refusal()
}

fn batches_are_taken_in_order_and_a_repeat_changes_nothing(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let one = coach.seal_many(3, "one");
    let two = coach.seal("two");
    for (sealed, status, last) in [
        (&one, 201, 3),
        (&one, 200, 3),
        (&two, 201, 4),
        (&one, 200, 3),
    ] {
        let answer = coach.bring(&mut client, sealed);
        assert_eq!(
            (answer.status, answer.json()),
            (status, json!({ "last": last }))
        );
    }
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, [one, two]);
    assert_eq!(read.head.heads, vector_of(&[&coach]));
}

fn a_gap_and_a_clash_are_told_with_their_numbers(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    // Another phone with a copy of the same keys.
    let mut copy = Phone::founder(1);
    coach.bring_log(&mut client);
    let one = coach.write(&mut client, "one");
    coach.seal("never brought");
    let three = coach.seal("three");
    let gap = coach.bring(&mut client, &three);
    assert_eq!(
        (gap.refusal(), &gap.json()["last"]),
        ((409, "gap".into()), &json!(1))
    );
    let other = copy.seal("another one");
    let clash = copy.bring(&mut client, &other);
    assert_eq!(clash.refusal(), (409, "clash".into()));
    let device = uuid::Uuid::from_bytes(*coach.device().as_bytes())
        .simple()
        .to_string();
    assert_eq!(
        (&clash.json()["device"], &clash.json()["number"]),
        (&json!(device), &json!(1))
    );
    // The next number, but after another first batch.
    let follows = copy.seal("follows the other");
    assert_eq!(refused(&copy, &mut client, &follows), (409, "clash".into()));
    let longer = Phone::founder(1).seal_many(2, "over the end");
    assert_eq!(refused(&copy, &mut client, &longer), (409, "clash".into()));
    assert_eq!(
        coach.read(&mut client, &Vector::default(), "").batches,
        [one]
    );
}

fn whoever_may_not_write_is_refused_and_nothing_is_stored(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut watcher = coach.admit(Role::ReadOnly, 2);
    let mut sheet = coach.admit(Role::Recovery, 3);
    coach.bring_log(&mut client);
    // Let in by the owner, but the relay has not been told.
    let mut early = coach.admit(Role::Player, 4);
    for (phone, expected) in [
        (&mut watcher, (403, "role")),
        (&mut sheet, (403, "role")),
        (&mut early, (403, "not-certified")),
    ] {
        let sealed = phone.seal("not mine to write");
        let (status, code) = expected;
        assert_eq!(refused(phone, &mut client, &sealed), (status, code.into()));
    }
    let ahead = coach.new_epoch(&[], Vector::default());
    coach.take_entry(ahead);
    let sealed = coach.seal("of an epoch that the relay does not know");
    let answer = coach.bring(&mut client, &sealed);
    assert_eq!(answer.refusal(), (409, "unknown-epoch".into()));
    assert_eq!(answer.json()["epoch"], 1);
    assert_eq!(
        watcher
            .read(&mut client, &Vector::default(), "")
            .batches
            .len(),
        0
    );
}

fn no_flipped_bit_is_taken(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let sealed = coach.seal("true");
    // Every byte of what a relay can read, and some of what it cannot.
    let nonce_begins = 128;
    for at in (0..nonce_begins).chain((nonce_begins..sealed.len()).step_by(7)) {
        let mut flipped = sealed.clone();
        flipped[at] ^= 1 << (at % 8);
        let answer = coach.bring(&mut client, &flipped);
        assert!(
            (400..=409).contains(&answer.status),
            "byte {at}: {answer:?}"
        );
    }
    let cut: Vec<Answer> = [0, 3, 127, sealed.len() - 1]
        .map(|length| coach.bring(&mut client, &sealed[..length]))
        .into();
    assert!(cut.iter().all(|answer| answer.status == 400), "{cut:?}");
    let mut longer = sealed.clone();
    longer.push(0);
    assert_eq!(
        refused(&coach, &mut client, &longer),
        (400, "signature".into())
    );
    assert_eq!(
        coach.heads(&mut client),
        Vector::default(),
        "nothing was stored"
    );
    assert_eq!(coach.bring(&mut client, &sealed).status, 201);
}

fn a_batch_of_another_notebook_is_refused(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let (mut here, mut there) = (Phone::founder(1), Phone::founder(2));
    here.bring_log(&mut client);
    there.bring_log(&mut client);
    let sealed = here.seal("here");
    let answer = post(&mut client, &there.path("batches"), &sealed);
    assert_eq!(answer.refusal(), (400, "wrong-notebook".into()));
    let nowhere = Phone::founder(3).path("batches");
    assert_eq!(
        post(&mut client, &nowhere, &sealed).refusal(),
        (400, "wrong-notebook".into())
    );
    let unknown = Phone::founder(3).seal("nobody has begun this");
    assert_eq!(
        post(&mut client, &nowhere, &unknown).refusal(),
        (404, "no-notebook".into())
    );
    there.seal("there");
    assert_eq!(there.heads(&mut client), Vector::default());
}

fn a_batch_is_sealed_again_after_a_new_epoch(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    let old_seal = parent.write(&mut client, "counts");
    let epoch = coach.new_epoch(&[(&parent, Role::Parent)], vector_of(&[&parent]));
    assert_eq!(coach.bring_entry(&mut client, &epoch).status, 201);
    // It lies within what the epoch has closed over, so its old seal still passes.
    assert_eq!(parent.bring(&mut client, &old_seal).status, 200);
    let stale = parent.seal("sealed with the old key");
    assert_eq!(
        refused(&parent, &mut client, &stale),
        (409, "stale-epoch".into())
    );
    parent.take_entry(epoch);
    let new_seal = parent.reseal(&old_seal);
    assert_eq!(parent.bring(&mut client, &new_seal).status, 201);
    assert_eq!(
        parent.bring(&mut client, &old_seal).status,
        200,
        "the later seal stays"
    );
    let fresh = parent.reseal(&stale);
    assert_eq!(parent.bring(&mut client, &fresh).status, 201);
    let read = parent.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, [new_seal, fresh]);
}

fn the_log_outlives_the_process(store: &Store) {
    let mut coach = Phone::founder(1);
    let sealed = {
        let relay = Relay::start(store, &[]);
        let mut client = relay.client();
        coach.bring_log(&mut client);
        coach.write(&mut client, "kept")
    };
    let relay = Relay::start(store, &[]);
    let read = coach.read(&mut relay.client(), &Vector::default(), "");
    assert_eq!(read.batches, [sealed]);
}
