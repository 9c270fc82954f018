//! What every answer carries, and what the log tells of it.

use crate::support::{Answer, Place};

const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    img-src 'self' blob: data:; media-src 'self' blob:; connect-src 'self'; font-src 'self'; \
    manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

fn assert_secured(answer: &Answer, what: &str) {
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
    ] {
        assert_eq!(answer.header(name), Some(value), "{what}: {name}");
    }
    let permissions = answer
        .header("permissions-policy")
        .expect("Permissions-Policy");
    let features: Vec<_> = permissions.split(", ").collect();
    for own in [
        "camera",
        "microphone",
        "accelerometer",
        "gyroscope",
        "screen-wake-lock",
    ] {
        assert!(
            features.contains(&format!("{own}=(self)").as_str()),
            "{what}: {permissions}"
        );
    }
    for denied in ["geolocation", "payment", "usb"] {
        assert!(
            features.contains(&format!("{denied}=()").as_str()),
            "{what}: {permissions}"
        );
    }
    assert_eq!(
        answer.header("x-request-id").expect("X-Request-Id").len(),
        32,
        "{what}"
    );
    assert!(answer.header("cache-control").is_some(), "{what}");
    assert_eq!(answer.header("strict-transport-security"), None, "{what}");
    assert_eq!(answer.header("access-control-allow-origin"), None, "{what}");
}

#[test]
fn every_answer_keeps_the_page_to_this_server() {
    let relay = Place::new().relay(&[]);
    for (status, head) in [
        (200, "GET / HTTP/1.1"),
        (200, "HEAD /words/en.txt HTTP/1.1"),
        (200, "GET /healthz HTTP/1.1"),
        (200, "GET /hitters HTTP/1.1\r\nAccept: text/html"),
        (304, "GET / HTTP/1.1\r\nIf-None-Match: *"),
        (404, "GET /missing.js HTTP/1.1"),
        (404, "GET /stridebook-ca.crt HTTP/1.1"),
        (404, "GET /%2e%2e/secret HTTP/1.1"),
        (405, "DELETE / HTTP/1.1"),
        (405, "POST /healthz HTTP/1.1"),
        (406, "GET / HTTP/1.1\r\nAccept-Encoding: *;q=0"),
        (413, "POST / HTTP/1.1\r\nContent-Length: 65537"),
    ] {
        let answer = relay.ask(head);
        assert_eq!(answer.status, status, "{head}");
        assert_secured(&answer, head);
    }
}

#[test]
fn over_tls_too_and_without_a_promise_that_could_lock_a_phone_out() {
    let place = Place::new();
    let relay = place.relay(&["--tls"]);
    let answer = crate::tls::ask(
        &relay,
        &crate::tls::authority(&relay),
        "localhost",
        "GET / HTTP/1.1",
    );
    assert_secured(&answer.expect("a handshake"), "over TLS");
}

#[test]
fn the_health_check_says_ok() {
    let answer = Place::new().relay(&[]).get("/healthz");
    assert_eq!((answer.status, answer.text()), (200, "ok"));
    assert_eq!(
        answer.header("content-type"),
        Some("text/plain; charset=utf-8")
    );
}

#[test]
fn the_request_id_joins_answer_and_log_and_is_never_the_clients() {
    let relay = Place::new().relay(&[]);
    let ids: Vec<String> = (0..3)
        .map(|_| {
            let answer = relay.ask("GET / HTTP/1.1\r\nX-Request-Id: mine");
            answer.header("x-request-id").expect("an id").to_owned()
        })
        .collect();
    for id in &ids {
        let log = relay.await_log(id);
        let line = log
            .lines()
            .find(|line| line.contains(id.as_str()))
            .expect("its line");
        assert!(
            line.contains("method=GET status=200") && line.contains("path=\"/\""),
            "{line}"
        );
        assert!(!log.contains("mine"), "{log}");
    }
    assert!(ids[0] != ids[1] && ids[1] != ids[2]);
}

#[test]
fn the_log_holds_nothing_that_could_be_about_a_person() {
    let relay = Place::new().relay(&[]);
    let heads = [
        "GET /words/en.txt?note=sore-wrist HTTP/1.1\r\nUser-Agent: Coachphone\r\nCookie: a=Coachcookie",
        "GET /hitters/Jordan HTTP/1.1\r\nAccept: text/html",
        "GET /hitters/Jordan.txt HTTP/1.1",
        "POST /Jordan HTTP/1.1",
    ];
    let mut log = String::new();
    for head in heads {
        let answer = relay.ask(head);
        log = relay.await_log(answer.header("x-request-id").expect("an id"));
    }
    assert!(log.contains("path=\"/words/en.txt\""), "{log}");
    for private in [
        "sore-wrist",
        "Jordan",
        "Coachphone",
        "Coachcookie",
        "127.0.0.1",
    ] {
        assert!(!log.contains(private), "{private}: {log}");
    }
}
