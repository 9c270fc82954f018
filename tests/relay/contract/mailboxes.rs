//! Mailboxes: put once, taken once, and gone with their time.

use std::time::Duration;

use relay_tests::phone::{post, put};
use relay_tests::{Relay, Store, on_both_databases};

on_both_databases! {
    what_lies_in_a_mailbox_is_taken_once
    of_many_who_take_at_once_one_gets_it
    a_mailbox_is_empty_after_its_time
    a_mailbox_takes_little_and_its_name_is_one_of_32_digits
}

const NAME: &str = "00112233445566778899aabbccddeeff";

fn what_lies_in_a_mailbox_is_taken_once(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let (lay, take) = (
        format!("/v1/mailboxes/{NAME}?expires=600"),
        format!("/v1/mailboxes/{NAME}/take"),
    );
    assert_eq!(
        post(&mut client, &take, &[]).refusal(),
        (404, "none".into())
    );
    assert_eq!(put(&mut client, &lay, b"sealed").status, 201);
    assert_eq!(
        put(&mut client, &lay, b"other").refusal(),
        (409, "mailbox-full".into())
    );
    let taken = post(&mut client, &take, &[]);
    assert_eq!((taken.status, &taken.body[..]), (200, &b"sealed"[..]));
    assert_eq!(taken.header("cache-control"), Some("no-store"));
    assert_eq!(
        post(&mut client, &take, &[]).refusal(),
        (404, "none".into())
    );
    assert_eq!(put(&mut client, &lay, b"other").status, 201);
}

fn of_many_who_take_at_once_one_gets_it(store: &Store) {
    let relay = Relay::start(store, &[]);
    let (lay, take) = (
        format!("/v1/mailboxes/{NAME}"),
        format!("/v1/mailboxes/{NAME}/take"),
    );
    for _ in 0..5 {
        assert_eq!(put(&mut relay.client(), &lay, b"sealed").status, 201);
        let got: Vec<u16> = std::thread::scope(|scope| {
            let takers: Vec<_> = (0..8)
                .map(|_| scope.spawn(|| post(&mut relay.client(), &take, &[]).status))
                .collect();
            takers
                .into_iter()
                .map(|taker| taker.join().expect("an answer"))
                .collect()
        });
        assert_eq!(
            got.iter().filter(|status| **status == 200).count(),
            1,
            "{got:?}"
        );
    }
}

fn a_mailbox_is_empty_after_its_time(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let lay = format!("/v1/mailboxes/{NAME}?expires=1");
    assert_eq!(put(&mut client, &lay, b"sealed").status, 201);
    std::thread::sleep(Duration::from_millis(2_100));
    let take = format!("/v1/mailboxes/{NAME}/take");
    assert_eq!(
        post(&mut client, &take, &[]).refusal(),
        (404, "none".into())
    );
    assert_eq!(put(&mut client, &lay, b"again").status, 201);
}

fn a_mailbox_takes_little_and_its_name_is_one_of_32_digits(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let lay = format!("/v1/mailboxes/{NAME}");
    let answer = put(&mut client, &lay, &vec![0; 4_097]);
    assert_eq!(answer.refusal(), (413, "too-large".into()));
    for odd in [
        "0011",
        "00112233445566778899AABBCCDDEEFF",
        "00112233445566778899aabbccddeefg",
    ] {
        let answer = put(&mut client, &format!("/v1/mailboxes/{odd}"), b"x");
        assert_eq!(answer.refusal(), (400, "query".into()), "{odd}");
    }
    for odd in ["expires=604801", "expires=-1", "expires=x", "expires"] {
        let answer = put(&mut client, &format!("{lay}?{odd}"), b"x");
        assert_eq!(answer.refusal(), (400, "query".into()), "{odd}");
    }
    assert_eq!(put(&mut client, &lay, &vec![0; 4_096]).status, 201);
}
