//! Batches that come at the same time and so share a transaction: each is answered as
//! if it had come alone.

use std::sync::Barrier;

use notebook::sync::{Role, Vector};
use relay_tests::phone::vector_of;
use relay_tests::{Answer, Phone, Relay, Store, on_both_databases};

on_both_databases! {
    batches_of_many_phones_at_once_are_all_there
    a_batch_that_comes_many_times_at_once_is_stored_once
    the_last_room_of_a_notebook_is_given_to_as_many_as_fit
    who_is_refused_does_not_hold_up_the_others
}

/// Brings all at the same time, each over its own connection.
fn bring_at_once(relay: &Relay, sealed: &[(&Phone, Vec<u8>)]) -> Vec<Answer> {
    let ready = Barrier::new(sealed.len());
    std::thread::scope(|scope| {
        let brought: Vec<_> = sealed
            .iter()
            .map(|(phone, sealed)| {
                scope.spawn(|| {
                    let mut client = relay.client();
                    ready.wait();
                    phone.bring(&mut client, sealed)
                })
            })
            .collect();
        let answers = brought.into_iter();
        answers
            .map(|answer| answer.join().expect("an answer"))
            .collect()
    })
}

fn team(seed: u64, players: u64) -> (Phone, Vec<Phone>) {
    let mut coach = Phone::founder(seed);
    let players = (1..=players)
        .map(|n| coach.admit(Role::Player, seed + n))
        .collect();
    (coach, players)
}

fn with_status(answers: &[Answer], status: u16) -> usize {
    let answers = answers.iter();
    answers.filter(|answer| answer.status == status).count()
}

fn batches_of_many_phones_at_once_are_all_there(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    // More than one command takes.
    let (coach, mut players) = team(100, 40);
    coach.bring_log(&mut client);
    for round in 0..3 {
        let texts: Vec<_> = players.iter_mut().map(|p| p.seal("a set")).collect();
        let sealed: Vec<_> = players.iter().zip(texts).collect();
        let answers = bring_at_once(&relay, &sealed);
        assert_eq!(with_status(&answers, 201), 40, "round {round}: {answers:?}");
    }
    let heads = vector_of(&players.iter().collect::<Vec<_>>());
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!((read.head.heads, read.batches.len()), (heads, 120));
}

fn a_batch_that_comes_many_times_at_once_is_stored_once(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let sealed = coach.seal("once");
    let same: Vec<_> = (0..12).map(|_| (&coach, sealed.clone())).collect();
    let answers = bring_at_once(&relay, &same);
    let statuses = (with_status(&answers, 201), with_status(&answers, 200));
    assert_eq!(statuses, (1, 11), "{answers:?}");
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches, [sealed]);
}

fn the_last_room_of_a_notebook_is_given_to_as_many_as_fit(store: &Store) {
    let relay = Relay::start(store, &["--notebook-batches", "9", "--notebook-mib", "1"]);
    let mut client = relay.client();
    let (coach, mut players) = team(100, 16);
    let (large, mut large_players) = team(200, 8);
    for owner in [&coach, &large] {
        owner.bring_log(&mut client);
    }
    let little: Vec<_> = players.iter_mut().map(|p| p.seal("little")).collect();
    // Four have room in 1 MiB.
    let text = "x".repeat(250_000);
    let much: Vec<_> = large_players.iter_mut().map(|p| p.seal(&text)).collect();
    let mut sealed: Vec<_> = players.iter().zip(little).collect();
    sealed.extend(large_players.iter().zip(much));
    let answers = bring_at_once(&relay, &sealed);
    let (of_coach, of_large) = answers.split_at(16);
    for (of_one, fit, left) in [(of_coach, 9, 7), (of_large, 4, 4)] {
        let statuses = (with_status(of_one, 201), with_status(of_one, 507));
        assert_eq!(statuses, (fit, left), "{of_one:?}");
    }
    for (owner, fit) in [(&coach, 9), (&large, 4)] {
        let read = owner.read(&mut client, &Vector::default(), "");
        assert_eq!(read.head.heads.iter().count(), fit);
    }
}

fn who_is_refused_does_not_hold_up_the_others(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let (coach, mut players) = team(100, 12);
    coach.bring_log(&mut client);
    let mut sealed = Vec::new();
    for (at, player) in players.iter_mut().enumerate() {
        if at % 3 == 0 {
            player.seal("never brought");
        }
        sealed.push(player.seal("a set"));
    }
    let sealed: Vec<_> = players.iter().zip(sealed).collect();
    let answers = bring_at_once(&relay, &sealed);
    for (at, answer) in answers.iter().enumerate() {
        let wanted = if at % 3 == 0 { 409 } else { 201 };
        assert_eq!(answer.status, wanted, "{answer:?}");
    }
    let read = coach.read(&mut client, &Vector::default(), "");
    assert_eq!(read.batches.len(), 8);
}
