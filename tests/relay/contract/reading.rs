//! Reading beyond a vector, waiting for news, and who may do either.

use std::time::{Duration, Instant};

use notebook::sync::exchange::Then;
use notebook::sync::{Role, Vector};
use relay_tests::client::Ask;
use relay_tests::phone::{now_s, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};

on_both_databases! {
    a_phone_reads_what_it_has_not_and_in_order
    an_answer_keeps_to_its_limit_but_always_goes_on
    who_waits_is_answered_by_the_next_batch_or_entry
    a_wait_ends_with_its_time_or_with_the_relay
    only_members_read_and_only_what_they_signed
}

fn a_phone_reads_what_it_has_not_and_in_order(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    let watcher = coach.admit(Role::ReadOnly, 3);
    coach.bring_log(&mut client);
    let early = [
        coach.write(&mut client, "c1"),
        parent.write(&mut client, "p1"),
    ];
    let seen = vector_of(&[&coach, &parent]);
    let late = [
        coach.write(&mut client, "c2"),
        coach.write(&mut client, "c3"),
    ];
    let read = watcher.read(&mut client, &seen, "");
    assert_eq!(
        (read.batches, read.head.then),
        (late.to_vec(), Then::Nothing)
    );
    assert_eq!(read.head.members, 3);
    let heads = vector_of(&[&coach, &parent]);
    assert_eq!(read.head.heads, heads);
    let all = watcher.read(&mut client, &Vector::default(), "");
    let of_coach: Vec<_> = all
        .batches
        .iter()
        .filter(|batch| **batch != early[1])
        .collect();
    assert_eq!(of_coach, [&early[0], &late[0], &late[1]]);
    assert_eq!(all.batches.len(), 4);
    assert!(watcher.read(&mut client, &heads, "").batches.is_empty());
}

fn an_answer_keeps_to_its_limit_but_always_goes_on(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let mut parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    let text = "x".repeat(1_000);
    let mut written = Vec::new();
    for _ in 0..4 {
        written.push(coach.write(&mut client, &text));
        written.push(parent.write(&mut client, &text));
    }
    let size = written[0].len();
    for limit in [0, 1, size, 2 * size + 1, 3 * size, 1_048_576] {
        let (mut known, mut got) = (Vector::default(), Vec::new());
        loop {
            let read = parent.read(&mut client, &known, &format!("?limit={limit}"));
            assert!(!read.batches.is_empty() && read.batches.len() <= (limit / size).max(1));
            for sealed in &read.batches {
                let header = notebook::sync::batch::Sealed::read(sealed)
                    .expect("a batch")
                    .header;
                assert_eq!(known.last(header.device) + 1, header.first, "in order");
                known.set(header.device, header.point());
            }
            got.extend(read.batches);
            match read.head.then {
                Then::More => {}
                other => break assert_eq!(other, Then::Nothing),
            }
        }
        got.sort();
        let mut all = written.clone();
        all.sort();
        assert_eq!(got, all, "limit {limit}");
    }
}

fn who_waits_is_answered_by_the_next_batch_or_entry(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| {
            let begun = Instant::now();
            let read = parent.read(&mut relay.client(), &Vector::default(), "?wait=25");
            (read, begun.elapsed())
        });
        std::thread::sleep(Duration::from_millis(300));
        assert!(!waiting.is_finished(), "it waits");
        let sealed = coach.write(&mut client, "news");
        let (read, after) = waiting.join().expect("an answer");
        assert_eq!(read.batches, [sealed]);
        assert!(after < Duration::from_secs(20), "{after:?}");
    });
    let known = vector_of(&[&coach]);
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| parent.read(&mut relay.client(), &known, "?wait=25"));
        std::thread::sleep(Duration::from_millis(300));
        coach.admit(Role::Player, 3);
        let entry = coach.log.last().expect("an entry");
        assert_eq!(coach.bring_entry(&mut client, entry).status, 201);
        let read = waiting.join().expect("an answer");
        assert_eq!((read.batches.len(), read.head.members), (0, 3));
    });
    // Taken off while it waits: it gets nothing more.
    let mut parent = parent;
    parent.take_entry(coach.log[2].clone());
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| parent.try_read(&mut relay.client(), &known, "?wait=25"));
        std::thread::sleep(Duration::from_millis(300));
        let epoch = coach.new_epoch(&[], known.clone());
        assert_eq!(coach.bring_entry(&mut client, &epoch).status, 201);
        let answer = waiting.join().expect("an answer");
        assert_eq!(answer.refusal(), (403, "not-certified".into()));
    });
}

fn a_wait_ends_with_its_time_or_with_the_relay(store: &Store) {
    let mut relay = Relay::start(store, &[]);
    let coach = Phone::founder(1);
    coach.bring_log(&mut relay.client());
    let waited = |query: &str| {
        let begun = Instant::now();
        let read = coach.read(&mut relay.client(), &Vector::default(), query);
        assert!(read.batches.is_empty());
        begun.elapsed()
    };
    assert!(waited("?wait=1") >= Duration::from_secs(1));
    assert!(waited("") < Duration::from_secs(1));
    let address = relay.address();
    std::thread::scope(|scope| {
        let waiting = scope.spawn(move || {
            let mut client = relay_tests::Client::new(address);
            coach.read(&mut client, &Vector::default(), "?wait=30")
        });
        std::thread::sleep(Duration::from_millis(300));
        let begun = Instant::now();
        relay.terminate();
        assert!(waiting.join().expect("an answer").batches.is_empty());
        assert!(relay.ended().success());
        assert!(
            begun.elapsed() < Duration::from_secs(5),
            "{:?}",
            begun.elapsed()
        );
    });
}

fn only_members_read_and_only_what_they_signed(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    coach.write(&mut client, "for members");
    let stranger = Phone::founder(2);
    let target = coach.path("membership");
    let mut asked = |authorization: Option<&str>, target: &str| {
        let headers = authorization.map(|value| ("authorization", value));
        client.ask(&Ask {
            method: "GET",
            target,
            headers: headers.as_slice(),
            body: &[],
        })
    };
    let signed = coach.authorization("GET", &target, &[], now_s());
    assert_eq!(asked(Some(&signed), &target).status, 200);
    for (what, authorization) in [
        ("none", None),
        ("another scheme", Some("Basic Y29hY2g6Y29hY2g=".to_owned())),
        ("cut", Some(signed[..signed.len() - 2].to_owned())),
        (
            "another method",
            Some(coach.authorization("POST", &target, &[], now_s())),
        ),
        (
            "another path",
            Some(coach.authorization("GET", "/v1/notebooks", &[], now_s())),
        ),
        (
            "another body",
            Some(coach.authorization("GET", &target, b"x", now_s())),
        ),
    ] {
        let answer = asked(authorization.as_deref(), &target);
        assert_eq!(
            answer.refusal(),
            (401, "request-signature".into()),
            "{what}"
        );
    }
    let other_query = format!("{target}?from=1");
    let answer = asked(Some(&signed), &other_query);
    assert_eq!(
        answer.refusal(),
        (401, "request-signature".into()),
        "another query"
    );
    let of_stranger = stranger.authorization("GET", &target, &[], now_s());
    assert_eq!(
        asked(Some(&of_stranger), &target).refusal(),
        (403, "not-certified".into())
    );
    for off_s in [-301_i64, 301] {
        let old = coach.authorization("GET", &target, &[], now_s().saturating_add_signed(off_s));
        let answer = asked(Some(&old), &target);
        assert_eq!(answer.refusal(), (401, "request-time".into()), "{off_s}");
        // A phone with a wrong clock asks again with the relay's own time.
        let told = answer.json()["time"].as_u64().expect("a time");
        let again = coach.authorization("GET", &target, &[], told);
        assert_eq!(asked(Some(&again), &target).status, 200);
    }
}
