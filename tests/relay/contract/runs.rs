//! Runs of batches: taken whole or not at all.

use notebook::sync::{Role, Vector, run};
use relay_tests::phone::{in_a_run, post, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};
use serde_json::json;

on_both_databases! {
    a_run_is_taken_whole_and_a_repeat_changes_nothing
    a_run_goes_on_where_its_beginning_is_known
    a_run_with_one_flaw_leaves_nothing
    a_run_is_sealed_again_after_a_new_epoch
    a_run_has_no_more_room_than_its_notebook
    runs_and_single_batches_of_many_phones_at_once_are_all_there
}

fn texts(phone: &mut Phone, count: usize) -> Vec<Vec<u8>> {
    (0..count)
        .map(|n| phone.seal(&format!("text {n}")))
        .collect()
}

fn a_run_is_taken_whole_and_a_repeat_changes_nothing(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    // Every length up to a piece and beyond, to the longest.
    let mut all = Vec::new();
    for length in [1, 2, 3, 7, 8, 9, run::MAX_BATCHES] {
        let run = texts(&mut coach, length);
        let last = json!({ "last": coach.tip.expect("sealed").last });
        for status in [201, 200] {
            let answer = coach.bring_run(&mut client, &run);
            assert_eq!((answer.status, answer.json()), (status, last.clone()));
        }
        all.extend(run);
    }
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, all);
    assert_eq!(read.head.heads, vector_of(&[&coach]));
}

fn a_run_goes_on_where_its_beginning_is_known(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let all = texts(&mut coach, 40);
    assert_eq!(coach.bring_run(&mut client, &all[..3]).status, 201);
    assert_eq!(coach.bring_run(&mut client, &all[1..3]).status, 200);
    assert_eq!(coach.bring_run(&mut client, &all[1..6]).status, 201);
    // Known further than one question to the database asks.
    assert_eq!(coach.bring_run(&mut client, &all[6..39]).status, 201);
    assert_eq!(coach.bring_run(&mut client, &all).status, 201);
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, all);
}

fn a_run_with_one_flaw_leaves_nothing(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut copy = Phone::founder(1);
    let mut player = coach.admit(Role::Player, 2);
    let mut watcher = coach.admit(Role::ReadOnly, 3);
    coach.bring_log(&mut client);
    let all = texts(&mut coach, 9);
    let mut refused = |phone: &Phone, run: &[Vec<u8>]| phone.bring_run(&mut client, run).refusal();
    for at in [0, 4, 8] {
        let mut flipped = all.clone();
        *flipped[at].last_mut().expect("a signature") ^= 1;
        assert_eq!(refused(&coach, &flipped), (400, "signature".into()), "{at}");
    }
    let without = [&all[..2], &all[3..]].concat();
    assert_eq!(refused(&coach, &without), (409, "gap".into()));
    assert_eq!(refused(&coach, &all[1..]), (409, "gap".into()));
    let of_two = [all[0].clone(), player.seal("mine")];
    assert_eq!(refused(&coach, &of_two), (400, "damaged".into()));
    let elsewhere = texts(&mut Phone::founder(5), 2);
    assert_eq!(refused(&coach, &elsewhere), (400, "wrong-notebook".into()));
    let not_mine = texts(&mut watcher, 2);
    assert_eq!(refused(&watcher, &not_mine), (403, "role".into()));
    assert_eq!(refused(&coach, &[]), (400, "damaged".into()));
    let longer = [in_a_run(&all), vec![0]].concat();
    let answer = post(&mut client, &coach.path("runs"), &longer);
    assert_eq!(answer.refusal(), (400, "damaged".into()));
    assert_eq!(
        coach.heads(&mut client),
        Vector::default(),
        "nothing is stored"
    );
    // The same numbers with another content, behind a beginning that is known.
    assert_eq!(coach.bring_run(&mut client, &all[..4]).status, 201);
    copy.tip = None;
    let other = texts(&mut copy, 3);
    let clash = coach.bring_run(&mut client, &[&all[..0], &other[..]].concat());
    assert_eq!(clash.refusal(), (409, "clash".into()));
    assert_eq!(
        coach.read(&mut client, &Vector::default(), "").batches,
        all[..4]
    );
}

fn a_run_is_sealed_again_after_a_new_epoch(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    let old = texts(&mut parent, 3);
    assert_eq!(parent.bring_run(&mut client, &old).status, 201);
    let epoch = coach.new_epoch(&[(&parent, Role::Parent)], vector_of(&[&parent]));
    assert_eq!(coach.bring_entry(&mut client, &epoch).status, 201);
    let stale = texts(&mut parent, 2);
    let mixed = [old.clone(), stale.clone()].concat();
    let answer = parent.bring_run(&mut client, &mixed);
    assert_eq!(answer.refusal(), (409, "stale-epoch".into()));
    parent.take_entry(epoch);
    let fresh: Vec<_> = mixed.iter().map(|sealed| parent.reseal(sealed)).collect();
    assert_eq!(parent.bring_run(&mut client, &fresh).status, 201);
    assert_eq!(
        parent.bring_run(&mut client, &old).status,
        200,
        "the later seals stay"
    );
    let read = parent.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, fresh);
}

fn a_run_has_no_more_room_than_its_notebook(store: &Store) {
    let relay = Relay::start(store, &["--notebook-batches", "5"]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let all = texts(&mut coach, 6);
    assert_eq!(
        coach.bring_run(&mut client, &all).refusal(),
        (507, "quota".into())
    );
    assert_eq!(coach.heads(&mut client), Vector::default());
    assert_eq!(coach.bring_run(&mut client, &all[..5]).status, 201);
}

/// Changes of all kinds that share a transaction do not get in each other's way.
fn runs_and_single_batches_of_many_phones_at_once_are_all_there(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut coach = Phone::founder(1);
    let mut phones: Vec<Phone> = (0..12).map(|n| coach.admit(Role::Player, 10 + n)).collect();
    coach.bring_log(&mut relay.client());
    std::thread::scope(|scope| {
        for (n, phone) in phones.iter_mut().enumerate() {
            let relay = &relay;
            scope.spawn(move || {
                let mut client = relay.client();
                for round in 0..6 {
                    let run = texts(phone, 1 + (n + round) % 5);
                    let answer = match &run[..] {
                        [one] => phone.bring(&mut client, one),
                        all => phone.bring_run(&mut client, all),
                    };
                    assert_eq!(answer.status, 201, "{answer:?}");
                }
            });
        }
    });
    let phones: Vec<&Phone> = phones.iter().collect();
    assert_eq!(coach.heads(&mut relay.client()), vector_of(&phones));
}
