//! Two relay processes on one database are as one. On SQLite that is two processes on
//! one data folder, as while one takes over from the other.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use notebook::sync::{Role, Vector};
use relay_tests::phone::{send, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};

on_both_databases! {
    what_one_relay_took_the_other_hands_out
    who_waits_at_one_relay_hears_what_the_other_took
    who_was_taken_off_at_one_relay_is_refused_by_the_other
    both_relays_write_at_once_and_nothing_is_lost_or_twofold
    relays_that_start_together_on_an_empty_database_both_serve
}

fn what_one_relay_took_the_other_hands_out(store: &Store) {
    let (one, two) = (Relay::start(store, &[]), Relay::start(store, &[]));
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut one.client());
    let first = coach.write(&mut two.client(), "by the second");
    let second = coach.write(&mut one.client(), "by the first");
    for relay in [&one, &two] {
        let read = coach.read(&mut relay.client(), &Vector::default(), "");
        assert_eq!(read.batches, [first.clone(), second.clone()]);
    }
}

fn who_waits_at_one_relay_hears_what_the_other_took(store: &Store) {
    let (one, two) = (Relay::start(store, &[]), Relay::start(store, &[]));
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut one.client());
    let mut known = Vector::default();
    for round in 0..3 {
        std::thread::scope(|scope| {
            let waiting = scope.spawn(|| {
                let read = parent.read(&mut two.client(), &known, "?wait=25");
                (read, Instant::now())
            });
            std::thread::sleep(Duration::from_millis(400));
            assert!(!waiting.is_finished(), "it waits");
            let sealed = coach.write(&mut one.client(), "news");
            let written = Instant::now();
            let (read, heard) = waiting.join().expect("an answer");
            assert_eq!(read.batches, [sealed], "round {round}");
            let after = heard.saturating_duration_since(written);
            assert!(after < Duration::from_secs(5), "{after:?}");
        });
        known = vector_of(&[&coach]);
    }
}

fn who_was_taken_off_at_one_relay_is_refused_by_the_other(store: &Store) {
    let (one, two) = (Relay::start(store, &[]), Relay::start(store, &[]));
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut one.client());
    // The second relay has seen the log, so it has it at hand.
    parent.write(&mut two.client(), "in time");
    let epoch = coach.new_epoch(&[], vector_of(&[&parent]));
    assert_eq!(coach.bring_entry(&mut one.client(), &epoch).status, 201);
    let late = parent.seal("too late");
    let answer = parent.bring(&mut two.client(), &late);
    assert_eq!(answer.refusal(), (403, "not-certified".into()));
    let answer = parent.try_read(&mut two.client(), &Vector::default(), "");
    assert_eq!(answer.refusal(), (403, "not-certified".into()));
}

fn both_relays_write_at_once_and_nothing_is_lost_or_twofold(store: &Store) {
    const PHONES: u64 = 6;
    const EACH: usize = 25;
    let relays = [Relay::start(store, &[]), Relay::start(store, &[])];
    let mut coach = Phone::founder(1);
    let phones: Vec<Phone> = (0..PHONES)
        .map(|n| coach.admit(Role::Player, 10 + n))
        .collect();
    coach.bring_log(&mut relays[0].client());
    let written: BTreeSet<Vec<u8>> = std::thread::scope(|scope| {
        let writers: Vec<_> = phones
            .into_iter()
            .enumerate()
            .map(|(n, mut phone)| {
                let relays = &relays;
                scope.spawn(move || {
                    let mut clients = [relays[0].client(), relays[1].client()];
                    let write = |at: usize| phone.write(&mut clients[(n + at) % 2], "mine");
                    (0..EACH).map(write).collect::<Vec<_>>()
                })
            })
            .collect();
        writers
            .into_iter()
            .flat_map(|writer| writer.join().expect("all taken"))
            .collect()
    });
    assert_eq!(written.len(), PHONES as usize * EACH);
    for relay in &relays {
        let read = coach.read(&mut relay.client(), &Vector::default(), "");
        assert_eq!(read.batches.len(), written.len(), "none is twofold");
        assert_eq!(read.batches.into_iter().collect::<BTreeSet<_>>(), written);
    }
    if !store.is_sqlite() {
        // Or this would not have shown that conflicts are overcome.
        let retries: u64 = relays.iter().map(run_again).sum();
        assert!(retries > 0, "the relays never met");
    }
}

/// Transactions that a relay had to run again because of the other.
fn run_again(relay: &Relay) -> u64 {
    let text = String::from_utf8(send(&mut relay.client(), "GET", "/metrics", b"").body);
    let text = text.expect("UTF-8");
    let line = text
        .lines()
        .find_map(|line| line.strip_prefix("stridebook_relay_commit_retries_total "));
    line.expect("its count").parse().expect("a number")
}

fn relays_that_start_together_on_an_empty_database_both_serve(store: &Store) {
    let relays: Vec<Relay> = std::thread::scope(|scope| {
        let starts: Vec<_> = (0..4)
            .map(|_| scope.spawn(|| Relay::start(store, &[])))
            .collect();
        starts
            .into_iter()
            .map(|start| start.join().expect("started"))
            .collect()
    });
    for (relay, seed) in relays.iter().zip(1..) {
        let mut coach = Phone::founder(seed);
        coach.bring_log(&mut relay.client());
        coach.write(&mut relay.client(), "one");
    }
}
