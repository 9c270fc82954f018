//! Quotas, rates and sizes: a clear refusal, and nothing stored.

use notebook::sync::Vector;
use relay_tests::phone::{post, put};
use relay_tests::{Phone, Relay, Store, on_both_databases};

on_both_databases! {
    a_notebook_has_so_much_room
    a_relay_takes_so_many_notebooks
    too_much_from_one_address_is_told_when_to_come_back
    too_much_for_one_notebook_does_not_hold_up_another
    what_is_too_large_is_refused_before_it_is_read
}

fn a_notebook_has_so_much_room(store: &Store) {
    let relay = Relay::start(store, &["--notebook-mib", "1", "--notebook-batches", "6"]);
    let mut client = relay.client();
    let mut large = Phone::founder(1);
    large.bring_log(&mut client);
    let text = "x".repeat(250_000);
    let kept: Vec<_> = (0..4).map(|_| large.write(&mut client, &text)).collect();
    let tip = large.tip;
    let fifth = large.seal(&text);
    assert_eq!(
        large.bring(&mut client, &fifth).refusal(),
        (507, "quota".into())
    );
    assert_eq!(
        large.bring(&mut client, &kept[0]).status,
        200,
        "what is known takes no room"
    );
    large.tip = tip;
    large.write(&mut client, "a little still fits");
    let mut many = Phone::founder(2);
    many.bring_log(&mut client);
    for _ in 0..6 {
        many.write(&mut client, "little");
    }
    let seventh = many.seal("little");
    assert_eq!(
        many.bring(&mut client, &seventh).refusal(),
        (507, "quota".into())
    );
    assert_eq!(many.heads(&mut client).last(many.device()), 6);
}

fn a_relay_takes_so_many_notebooks(store: &Store) {
    let relay = Relay::start(store, &["--notebooks", "2"]);
    let mut client = relay.client();
    let statuses = [1, 2, 3, 1]
        .map(|seed| post(&mut client, "/v1/notebooks", &Phone::founder(seed).log[0]).status);
    assert_eq!(statuses, [201, 201, 507, 200]);
}

fn too_much_from_one_address_is_told_when_to_come_back(store: &Store) {
    let relay = Relay::start(store, &["--address-rate", "30"]);
    let mut client = relay.client();
    let coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let answers: Vec<_> = (0..40)
        .map(|_| post(&mut client, "/v1/notebooks", &coach.log[0]))
        .collect();
    let refused: Vec<_> = answers
        .iter()
        .filter(|answer| answer.status == 429)
        .collect();
    // One comes back every two seconds; a slow machine may let some more through.
    assert!((5..=11).contains(&refused.len()), "{}", refused.len());
    assert_eq!(refused[0].refusal(), (429, "slow-down".into()));
    let wait: u64 = refused[0]
        .header("retry-after")
        .expect("a time")
        .parse()
        .expect("seconds");
    assert!((1..=3).contains(&wait), "{wait}");
}

fn too_much_for_one_notebook_does_not_hold_up_another(store: &Store) {
    let relay = Relay::start(store, &["--notebook-rate", "10"]);
    let mut client = relay.client();
    let (mut busy, mut calm) = (Phone::founder(1), Phone::founder(2));
    busy.bring_log(&mut client);
    calm.bring_log(&mut client);
    // What no member has signed does not count: a stranger cannot use a notebook up.
    let mut forged = busy.seal("forged");
    *forged.last_mut().expect("a byte") ^= 1;
    busy.tip = None;
    for _ in 0..20 {
        assert_eq!(busy.bring(&mut client, &forged).status, 400);
    }
    let sealed = busy.seal("one");
    let statuses: Vec<u16> = (0..20)
        .map(|_| busy.bring(&mut client, &sealed).status)
        .collect();
    assert_eq!(statuses[0], 201);
    assert!(statuses[10..].contains(&429), "{statuses:?}");
    calm.write(&mut client, "not held up");
    assert_eq!(
        calm.read(&mut client, &Vector::default(), "").batches.len(),
        1
    );
}

fn what_is_too_large_is_refused_before_it_is_read(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut relay.client());
    for (target, most) in [
        ("/v1/notebooks".to_owned(), 16 << 10),
        (coach.path("membership"), 16 << 10),
        (coach.path("batches"), 256 << 10),
        (coach.path("read"), 16 << 10),
    ] {
        let answer = post(&mut relay.client(), &target, &vec![0; most + 1]);
        assert_eq!(answer.refusal(), (413, "too-large".into()), "{target}");
        let answer = post(&mut relay.client(), &target, &vec![0; most]);
        assert_eq!(answer.status, 400, "{target}");
    }
    let answer = put(
        &mut relay.client(),
        &coach.path("acknowledgement"),
        &vec![0; (8 << 10) + 1],
    );
    assert_eq!(answer.refusal(), (413, "too-large".into()));
    let full = coach.seal(&"x".repeat(256 * 1024 - 400));
    assert!(
        full.len() > 261_000 && full.len() <= 262_144,
        "{}",
        full.len()
    );
    assert_eq!(coach.bring(&mut relay.client(), &full).status, 201);
    assert_eq!(
        coach
            .read(&mut relay.client(), &Vector::default(), "")
            .batches,
        [full]
    );
}
