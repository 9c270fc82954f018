//! The stop: answers on their way end, nothing holds the process up for long.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use crate::support::{Answer, Place, Running, send};

/// More than the sockets of both sides hold, so that an answer stays on its way
/// for as long as it is not read.
const LARGE: usize = 48 << 20;

fn with_large_file() -> Running {
    let place = Place::new();
    place.file("large.bin", &vec![7; LARGE]);
    place.relay(&[])
}

/// A connection on which the large file has begun to come.
fn begun(relay: &Running) -> (TcpStream, Vec<u8>) {
    let mut stream = relay.connect();
    send(&mut stream, "GET /large.bin HTTP/1.1");
    let mut first = vec![0; 1024];
    stream.read_exact(&mut first).expect("the answer begins");
    (stream, first)
}

#[test]
fn on_sigterm_answers_on_their_way_end_whole_and_no_more_are_begun() {
    let mut relay = with_large_file();
    let (stream, first) = begun(&relay);
    relay.signal("TERM");
    std::thread::sleep(Duration::from_millis(300));
    assert!(
        TcpStream::connect(relay.address).is_err(),
        "nothing new is taken"
    );
    let answer = Answer::read(&mut (&first[..]).chain(stream));
    assert_eq!((answer.status, answer.body.len()), (200, LARGE));
    assert!(answer.body.iter().all(|&byte| byte == 7));
    let (status, after) = relay.ended();
    assert!(status.success(), "{status}");
    assert!(after < Duration::from_secs(4), "{after:?}");
    assert!(!relay.await_log("stopped").contains("cut off"));
}

#[test]
fn a_client_that_does_not_read_holds_the_stop_up_for_five_seconds_at_most() {
    let mut relay = with_large_file();
    let (_stream, _) = begun(&relay);
    relay.signal("TERM");
    let (status, after) = relay.ended();
    assert!(status.success(), "{status}");
    assert!(
        after > Duration::from_secs(4) && after < Duration::from_secs(12),
        "{after:?}"
    );
    relay.await_log("cut off at the stop connections=1");
}

#[test]
fn an_idle_connection_does_not_hold_the_stop_up() {
    let mut relay = Place::new().relay(&[]);
    let mut stream = relay.connect();
    stream
        .write_all(b"GET /healthz HTTP/1.1\r\nHost: relay.test\r\n\r\n")
        .expect("sent");
    let mut some = [0; 64];
    assert!(stream.read(&mut some).expect("an answer") > 0);
    relay.signal("INT");
    let (status, after) = relay.ended();
    assert!(status.success(), "{status}");
    assert!(after < Duration::from_secs(4), "{after:?}");
}
