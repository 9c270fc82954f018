//! The membership log: begun, appended to, read, and brought back.

use notebook::sync::{Role, Vector};
use relay_tests::phone::{now_s, post, send, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};
use serde_json::json;

on_both_databases! {
    a_notebook_is_begun_once_and_known_after_that
    the_membership_log_is_appended_in_order_and_read_by_members
    an_entry_of_a_stranger_or_a_mere_member_is_refused
    a_new_epoch_must_count_all_that_the_relay_holds
    a_relay_that_went_back_takes_the_log_again_and_drops_what_does_not_count
    a_device_finds_its_notebooks_by_its_signature_alone
}

fn a_notebook_is_begun_once_and_known_after_that(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let coach = Phone::founder(1);
    for status in [201, 200] {
        let answer = post(&mut client, "/v1/notebooks", &coach.log[0]);
        assert_eq!(answer.status, status);
        assert_eq!(
            answer.json(),
            json!({"notebook": coach.membership.id().to_string()})
        );
    }
    let mut forged = coach.log[0].clone();
    forged[95] ^= 1;
    let answer = post(&mut client, "/v1/notebooks", &forged);
    assert_eq!(answer.refusal(), (400, "signature".into()));
    let answer = Phone::founder(2).bring_entry(&mut client, &coach.log[0]);
    assert_eq!(answer.refusal(), (404, "no-notebook".into()));
}

fn the_membership_log_is_appended_in_order_and_read_by_members(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    let player = coach.admit(Role::Player, 3);
    post(&mut client, "/v1/notebooks", &coach.log[0]);
    let early = coach.bring_entry(&mut client, &coach.log[2]);
    assert_eq!(early.refusal(), (409, "membership-gap".into()));
    assert_eq!(early.json()["next"], 1);
    for (entry, status) in [(1, 201), (1, 200), (2, 201), (1, 200)] {
        let answer = coach.bring_entry(&mut client, &coach.log[entry]);
        assert_eq!(answer.status, status, "{answer:?}");
    }
    let mut other = Phone::founder(1);
    other.admit(Role::Player, 4);
    let fork = coach.bring_entry(&mut client, &other.log[1]);
    assert_eq!(fork.refusal(), (409, "membership-fork".into()));
    for (from, frames) in [
        (0, &coach.log[..]),
        (2, &coach.log[2..]),
        (3, &[]),
        (9, &[]),
    ] {
        let target = player.path(&format!("membership?from={from}"));
        let answer = parent.ask(&mut client, "GET", &target, &[]);
        let expected: Vec<u8> = frames
            .iter()
            .flat_map(|entry| [&(entry.len() as u32).to_be_bytes()[..], entry].concat())
            .collect();
        assert_eq!((answer.status, answer.body), (200, expected), "from {from}");
    }
}

fn an_entry_of_a_stranger_or_a_mere_member_is_refused(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let mut wrong = coach.admit(Role::Parent, 2).log[1].clone();
    *wrong.last_mut().expect("a byte") ^= 1;
    let answer = coach.bring_entry(&mut client, &wrong);
    assert_eq!(answer.refusal(), (400, "signature".into()));
    let stranger = Phone::founder(3).log[0].clone();
    let answer = coach.bring_entry(&mut client, &stranger);
    assert_eq!(
        answer.status, 409,
        "another notebook's first entry: {answer:?}"
    );
    let target = coach.path("membership");
    let read = coach.ask(&mut client, "GET", &target, &[]);
    assert_eq!(read.body.len(), 4 + coach.log[0].len(), "nothing was taken");
}

fn a_new_epoch_must_count_all_that_the_relay_holds(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    coach.write(&mut client, "one");
    let seen = vector_of(&[&coach]);
    let in_between = parent.write(&mut client, "in between");
    let blind = coach.new_epoch(&[(&parent, Role::Parent)], seen);
    let answer = coach.bring_entry(&mut client, &blind);
    assert_eq!(answer.refusal(), (409, "not-in-step".into()));
    let counted = vector_of(&[&coach, &parent]);
    let epoch = coach.new_epoch(&[], counted.clone());
    assert_eq!(coach.bring_entry(&mut client, &epoch).status, 201);
    coach.take_entry(epoch);
    // The parent was taken off: what counts stays, nothing new is taken or handed out.
    let late = parent.seal("too late");
    let answer = parent.bring(&mut client, &late);
    assert_eq!(answer.refusal(), (403, "not-certified".into()));
    let answer = parent.try_read(&mut client, &Vector::default(), "");
    assert_eq!(answer.refusal(), (403, "not-certified".into()));
    let read = coach.read(&mut client, &vector_of(&[&coach]), "");
    assert_eq!(read.batches, [in_between]);
    assert_eq!(read.head.heads, counted);
}

fn a_relay_that_went_back_takes_the_log_again_and_drops_what_does_not_count(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    let first = parent.write(&mut client, "counts");
    let counted = vector_of(&[&parent]);
    // The new epoch was at the relay, and the relay has forgotten it since. Meanwhile
    // the parent, who does not know of it yet, has written on.
    let epoch = coach.new_epoch(&[(&parent, Role::Parent)], counted.clone());
    let second = parent.write(&mut client, "sealed with the old key");
    let answer = coach.bring_entry(&mut client, &epoch);
    assert_eq!(answer.refusal(), (409, "not-in-step".into()));
    let target = coach.path("membership?again=true");
    assert_eq!(post(&mut client, &target, &epoch).status, 201);
    assert_eq!(post(&mut client, &target, &epoch).status, 200);
    coach.take_entry(epoch.clone());
    parent.take_entry(epoch);
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!((read.batches, read.head.heads), (vec![first], counted));
    let answer = parent.bring(&mut client, &second);
    assert_eq!(answer.refusal(), (409, "stale-epoch".into()));
    assert_eq!(answer.json()["epoch"], 2);
    let again = parent.reseal(&second);
    assert_eq!(parent.bring(&mut client, &again).status, 201);
    assert_eq!(coach.heads(&mut client), vector_of(&[&parent]));
}

fn a_device_finds_its_notebooks_by_its_signature_alone(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut first = Phone::founder(1);
    let sheet = first.admit(Role::Recovery, 9);
    first.bring_log(&mut client);
    let mut second = Phone::founder(2);
    // The seed makes the device: the same sheet in another notebook.
    let same_sheet = second.admit(Role::Recovery, 9);
    second.bring_log(&mut client);
    let without = Phone::founder(3);
    without.bring_log(&mut client);
    let mut listed = || sheet.ask(&mut client, "GET", "/v1/notebooks", &[]).json();
    let mut both = [
        first.membership.id().to_string(),
        second.membership.id().to_string(),
    ];
    both.sort();
    assert_eq!(listed(), json!({"notebooks": both}));
    assert_eq!(same_sheet.device(), sheet.device());
    let epoch = first.new_epoch(&[], Vector::default());
    assert_eq!(first.bring_entry(&mut client, &epoch).status, 201);
    let mut listed = || sheet.ask(&mut client, "GET", "/v1/notebooks", &[]).json();
    assert_eq!(
        listed(),
        json!({"notebooks": [second.membership.id().to_string()]})
    );
    let own = without.authorization("GET", "/v1/notebooks", &[], now_s());
    let forged = own.replace(
        &own["Stridebook device=".len()..][..32],
        &uuid::Uuid::from_bytes(*sheet.device().as_bytes())
            .simple()
            .to_string(),
    );
    let answer = client.ask(&relay_tests::client::Ask {
        method: "GET",
        target: "/v1/notebooks",
        headers: &[("authorization", &forged)],
        body: &[],
    });
    assert_eq!(
        answer.json(),
        json!({"notebooks": []}),
        "another one's signature"
    );
    let answer = send(&mut client, "GET", "/v1/notebooks", &[]);
    assert_eq!(answer.refusal(), (401, "request-signature".into()));
}
