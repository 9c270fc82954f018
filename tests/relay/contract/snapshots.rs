//! Snapshots: only whole and fitting ones are kept, and entries behind one go only
//! when every phone has said that it holds them.

use notebook::sync::exchange::Then;
use notebook::sync::{Hash, Point, Role, Vector};
use relay_tests::phone::{hash_text, put, send, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};
use serde_json::json;

on_both_databases! {
    entries_go_once_all_phones_hold_them_and_not_before
    a_snapshot_is_kept_only_when_it_is_whole_and_fits
    acknowledgements_only_grow
    a_snapshot_brings_a_relay_that_went_back_on
    taking_a_member_off_frees_what_it_held_up
}

/// Brings a snapshot with its parts.
fn bring(phone: &mut Phone, client: &mut relay_tests::Client, vector: &Vector) -> Vec<u8> {
    let snapshot = phone.snapshot(vector);
    for part in &snapshot.parts {
        let target = phone.path(&format!("snapshot/parts/{}", hash_text(part)));
        assert_eq!(phone.ask(client, "PUT", &target, part).status, 204);
    }
    let answer = put(client, &phone.path("snapshot"), &snapshot.manifest);
    assert_eq!(answer.status, 201, "{answer:?}");
    snapshot.manifest
}

fn entries_go_once_all_phones_hold_them_and_not_before(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.admit(Role::Recovery, 3);
    coach.bring_log(&mut client);
    coach.write(&mut client, "behind");
    parent.write(&mut client, "behind too");
    let behind = vector_of(&[&coach, &parent]);
    assert_eq!(
        coach
            .ask(&mut client, "GET", &coach.path("snapshot"), &[])
            .refusal(),
        (404, "none".into())
    );
    let manifest = bring(&mut coach, &mut client, &behind);
    let kept = coach.ask(&mut client, "GET", &coach.path("snapshot"), &[]);
    assert_eq!(kept.body, manifest);
    let after = coach.write(&mut client, "beyond");
    let all = vector_of(&[&coach, &parent]);
    assert_eq!(coach.acknowledge(&mut client, &all).status, 204);
    assert_eq!(
        coach
            .read(&mut client, &Vector::default(), "")
            .batches
            .len(),
        3,
        "one has not said so"
    );
    let only_own = vector_of(&[&parent]);
    assert_eq!(parent.acknowledge(&mut client, &only_own).status, 204);
    assert_eq!(
        coach
            .read(&mut client, &Vector::default(), "")
            .batches
            .len(),
        3,
        "not all of it"
    );
    assert_eq!(parent.acknowledge(&mut client, &behind).status, 204);
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(
        (read.batches.len(), read.head.then),
        (0, Then::SnapshotFirst)
    );
    assert_eq!(read.head.heads, all);
    let read = coach.read(&mut client, &behind, "");
    assert_eq!((read.batches, read.head.then), (vec![after], Then::Nothing));
    // The chain goes on as if nothing had been removed.
    parent.write(&mut client, "and on");
    let mut copy = Phone::founder(1);
    let other = copy.seal("another first one");
    assert_eq!(
        copy.bring(&mut client, &other).status,
        200,
        "within what was removed"
    );
}

fn a_snapshot_is_kept_only_when_it_is_whole_and_fits(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    coach.write(&mut client, "one");
    coach.write(&mut client, "two");
    let vector = vector_of(&[&coach]);
    let snapshot = coach.snapshot(&vector);
    let target = coach.path("snapshot");
    let answer = put(&mut client, &target, &snapshot.manifest);
    if !snapshot.parts.is_empty() {
        assert_eq!(answer.refusal(), (409, "parts-missing".into()));
        assert_eq!(
            answer.json()["parts"],
            json!([hash_text(&snapshot.parts[0])])
        );
        let part_target = coach.path(&format!("snapshot/parts/{}", hash_text(&snapshot.parts[0])));
        let answer = coach.ask(&mut client, "PUT", &part_target, b"something else");
        assert_eq!(answer.refusal(), (400, "damaged".into()));
        let answer = send(&mut client, "PUT", &part_target, &snapshot.parts[0]);
        assert_eq!(answer.refusal(), (401, "request-signature".into()));
    }
    bring(&mut coach, &mut client, &vector);
    let mut forged = snapshot.manifest.clone();
    *forged.last_mut().expect("a byte") ^= 1;
    assert_eq!(
        put(&mut client, &target, &forged).refusal(),
        (400, "signature".into())
    );
    let point = |last, hash| Point { last, hash };
    let mut other_hash = Vector::default();
    other_hash.set(coach.device(), point(2, Hash::of(b"another chain")));
    let mut no_end = Vector::default();
    no_end.set(coach.device(), point(1, Hash::of(b"another chain")));
    for (vector, code) in [
        (Vector::default(), "snapshot-older"),
        (other_hash, "snapshot-older"),
        (no_end, "snapshot-older"),
    ] {
        let manifest = coach.snapshot(&vector).manifest;
        assert_eq!(
            put(&mut client, &target, &manifest).refusal(),
            (409, code.into())
        );
    }
    let mut beyond = vector.clone();
    beyond.set(parent.device(), point(1, Hash::of(b"x")));
    coach.write(&mut client, "three");
    let mut wrong = vector_of(&[&coach]);
    wrong.set(coach.device(), point(3, Hash::of(b"another chain")));
    let manifest = coach.snapshot(&wrong).manifest;
    assert_eq!(
        put(&mut client, &target, &manifest).refusal(),
        (409, "snapshot-mismatch".into())
    );
    let kept = parent.ask(&mut client, "GET", &target, &[]);
    let read = notebook::sync::snapshot::Manifest::read(&kept.body).expect("a manifest");
    assert_eq!(read.vector, vector, "the good one stays");
}

fn acknowledgements_only_grow(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    coach.write(&mut client, "one");
    let one = vector_of(&[&coach]);
    coach.write(&mut client, "two");
    let two = vector_of(&[&coach]);
    for vector in [&two, &one, &two] {
        assert_eq!(coach.acknowledge(&mut client, vector).status, 204);
    }
    // Only the greater one is kept: the snapshot at two lets both entries go.
    bring(&mut coach, &mut client, &two);
    assert_eq!(
        coach.read(&mut client, &one, "").head.then,
        Then::SnapshotFirst
    );
    let stranger = Phone::founder(2);
    let signed =
        notebook::sync::acknowledgement::sign(&stranger.secret, coach.membership.id(), &two);
    let answer = put(&mut client, &coach.path("acknowledgement"), &signed);
    assert_eq!(answer.refusal(), (403, "not-certified".into()));
    let answer = put(&mut client, &coach.path("acknowledgement"), &signed[..9]);
    assert_eq!(answer.refusal(), (400, "damaged".into()));
}

fn a_snapshot_brings_a_relay_that_went_back_on(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    coach.write(&mut client, "held");
    // These were at the relay before it went back, and no phone has them singly.
    coach.seal("lost");
    coach.seal("lost too");
    let vector = vector_of(&[&coach]);
    bring(&mut coach, &mut client, &vector);
    let read = parent.read(&mut client, &Vector::default(), "");
    assert_eq!(
        (read.head.then, read.head.heads),
        (Then::SnapshotFirst, vector.clone())
    );
    let on = coach.write(&mut client, "and on");
    assert_eq!(parent.read(&mut client, &vector, "").batches, [on]);
}

fn taking_a_member_off_frees_what_it_held_up(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    coach.write(&mut client, "one");
    let vector = vector_of(&[&coach]);
    bring(&mut coach, &mut client, &vector);
    coach.acknowledge(&mut client, &vector);
    assert_eq!(
        coach
            .read(&mut client, &Vector::default(), "")
            .batches
            .len(),
        1
    );
    let epoch = coach.new_epoch(&[], vector.clone());
    assert_eq!(coach.bring_entry(&mut client, &epoch).status, 201);
    coach.take_entry(epoch);
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(
        (read.batches.len(), read.head.then),
        (0, Then::SnapshotFirst)
    );
}
