//! Slow, greedy and broken clients. Times are cut short, so the relay runs in this
//! process; its sockets are real all the same.

use std::io::{ErrorKind, Read, Write};
use std::net::SocketAddr;
use std::time::{Duration, Instant};

use relay::rates::Rates;
use relay::store::change::Quotas;
use relay::store::connect::Place as Store;
use relay::{Config, Limits, Relay, TlsChoice};
use tokio::sync::oneshot;

use crate::support::{Answer, Place, connect, send};

struct Inside {
    address: SocketAddr,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

fn inside(place: &Place, tls: TlsChoice, limits: Limits) -> Inside {
    let config = Config {
        dist: place.dist(),
        listen: "127.0.0.1:0".parse().expect("an address"),
        tls,
        data: place.path("data"),
        port_file: Some(place.path("port")),
        limits,
        store: Store::Sqlite(place.path("data/relay.db")),
        quotas: Quotas::default(),
        rates: Rates::default(),
        behind_proxy: false,
    };
    let (stop, stopped) = oneshot::channel();
    let (ready, is_ready) = std::sync::mpsc::channel();
    let thread = std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        runtime.block_on(async {
            let relay = Relay::prepare(config).await.expect("a relay");
            let url = relay
                .announcement()
                .trim_end()
                .rsplit("://")
                .next()
                .expect("a url")
                .to_owned();
            ready
                .send(url.parse().expect("an address"))
                .expect("awaited");
            relay.serve(async { drop(stopped.await) }).await;
        });
    });
    let address = is_ready.recv().expect("a relay that listens");
    Inside {
        address,
        stop: Some(stop),
        thread: Some(thread),
    }
}

impl Drop for Inside {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            let ended = thread.join();
            assert!(ended.is_ok() || std::thread::panicking());
        }
    }
}

fn short() -> Limits {
    Limits {
        handshake: Duration::from_millis(400),
        head: Duration::from_millis(400),
        life: Duration::from_secs(30),
        last_answer: Duration::from_millis(400),
        stop: Duration::from_millis(400),
        ..Limits::default()
    }
}

/// Reads until the other side ends the connection, in whichever way.
fn rest(stream: &mut impl Read) -> (Vec<u8>, Duration) {
    let begun = Instant::now();
    let mut all = Vec::new();
    match stream.read_to_end(&mut all) {
        Ok(_) => {}
        Err(error) if error.kind() == ErrorKind::ConnectionReset => {}
        Err(error) => panic!("the relay keeps the connection: {error}"),
    }
    (all, begun.elapsed())
}

fn assert_about_400_ms(passed: Duration) {
    assert!(
        passed > Duration::from_millis(250) && passed < Duration::from_secs(3),
        "{passed:?}"
    );
}

#[test]
fn a_client_that_says_nothing_or_half_a_head_is_let_go() {
    let place = Place::new();
    let relay = inside(&place, TlsChoice::Off, short());
    for said in ["", "GET / HTTP/1.1\r\nHost: relay"] {
        let mut stream = connect(relay.address);
        stream.write_all(said.as_bytes()).expect("sent");
        let (answer, passed) = rest(&mut stream);
        assert_eq!(answer, b"", "{said:?}");
        assert_about_400_ms(passed);
    }
}

#[test]
fn a_head_that_drips_is_let_go_all_the_same() {
    let place = Place::new();
    let relay = inside(&place, TlsChoice::Off, short());
    let mut stream = connect(relay.address);
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(5) {
        if stream.write_all(b"GET").is_err() {
            return assert_about_400_ms(begun.elapsed());
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("a dripping client holds its connection");
}

#[test]
fn a_connection_that_idles_between_requests_is_let_go() {
    let place = Place::new();
    let relay = inside(&place, TlsChoice::Off, short());
    let mut stream = connect(relay.address);
    stream
        .write_all(b"GET /healthz HTTP/1.1\r\nHost: relay.test\r\n\r\n")
        .expect("sent");
    let (answer, passed) = rest(&mut stream);
    assert!(answer.ends_with(b"ok"));
    assert_about_400_ms(passed);
}

#[test]
fn a_client_that_does_not_shake_hands_is_let_go() {
    let place = Place::new();
    let relay = inside(&place, TlsChoice::Local, short());
    let mut stream = connect(relay.address);
    let (answer, passed) = rest(&mut stream);
    assert_eq!(answer, b"");
    assert_about_400_ms(passed);
}

#[test]
fn a_client_that_does_not_read_its_answer_is_let_go() {
    const LARGE: usize = 48 << 20;
    let place = Place::new();
    place.file("large.bin", &vec![7; LARGE]);
    let limits = Limits {
        life: Duration::from_millis(400),
        ..short()
    };
    let relay = inside(&place, TlsChoice::Off, limits);
    let mut stream = connect(relay.address);
    send(&mut stream, "GET /large.bin HTTP/1.1");
    std::thread::sleep(Duration::from_millis(1500));
    let (answer, _) = rest(&mut stream);
    assert!(
        !answer.is_empty() && answer.len() < LARGE,
        "{}",
        answer.len()
    );
}

#[test]
fn a_busy_connection_takes_no_further_request_after_its_life() {
    let place = Place::new();
    let limits = Limits {
        life: Duration::from_millis(400),
        ..short()
    };
    let relay = inside(&place, TlsChoice::Off, limits);
    let mut stream = connect(relay.address);
    let begun = Instant::now();
    let mut answers = 0;
    let mut some = [0; 4096];
    while stream
        .write_all(b"GET /healthz HTTP/1.1\r\nHost: relay.test\r\n\r\n")
        .is_ok()
    {
        match stream.read(&mut some) {
            Ok(1..) => answers += 1,
            _ => break,
        }
        assert!(
            begun.elapsed() < Duration::from_secs(5),
            "it is served for ever"
        );
        std::thread::sleep(Duration::from_millis(20));
    }
    assert!(answers > 3, "{answers}");
    assert_about_400_ms(begun.elapsed());
}

#[test]
fn connections_above_the_limit_wait_for_their_turn() {
    let place = Place::new();
    let limits = Limits {
        connections: 2,
        head: Duration::from_secs(2),
        ..short()
    };
    let relay = inside(&place, TlsChoice::Off, limits);
    let idle = [connect(relay.address), connect(relay.address)];
    std::thread::sleep(Duration::from_millis(200));
    let mut waiting = connect(relay.address);
    send(&mut waiting, "GET /healthz HTTP/1.1");
    waiting
        .set_read_timeout(Some(Duration::from_millis(300)))
        .expect("a timeout");
    let kind = waiting.read(&mut [0; 1]).expect_err("it waits").kind();
    assert!(
        matches!(kind, ErrorKind::WouldBlock | ErrorKind::TimedOut),
        "{kind:?}"
    );
    drop(idle);
    waiting
        .set_read_timeout(Some(Duration::from_secs(10)))
        .expect("a timeout");
    assert_eq!(Answer::read(&mut waiting).status, 200);
}

#[test]
fn a_head_too_long_is_refused() {
    let place = Place::new();
    let relay = inside(&place, TlsChoice::Off, short());
    let mut stream = connect(relay.address);
    // The relay may close before all is sent.
    let _ = stream.write_all(
        format!("GET / HTTP/1.1\r\nX-Long: {}\r\n\r\n", "a".repeat(64 << 10)).as_bytes(),
    );
    let (answer, _) = rest(&mut stream);
    assert!(
        answer.is_empty() || answer.starts_with(b"HTTP/1.1 431 "),
        "{}",
        String::from_utf8_lossy(&answer)
    );
    let mut next = connect(relay.address);
    send(&mut next, "GET / HTTP/1.1");
    assert_eq!(
        Answer::read(&mut next).status,
        200,
        "others are served as before"
    );
}

#[test]
fn a_body_is_refused_by_its_length_and_never_waited_for() {
    let place = Place::new();
    let relay = inside(
        &place,
        TlsChoice::Off,
        Limits {
            head: Duration::from_secs(30),
            ..short()
        },
    );
    let begun = Instant::now();
    for (head, status) in [
        ("POST / HTTP/1.1\r\nContent-Length: 65537", 413),
        (
            "GET / HTTP/1.1\r\nContent-Length: 99999999999999999999",
            400,
        ),
        ("POST / HTTP/1.1\r\nContent-Length: 65536", 405),
        ("POST / HTTP/1.1\r\nTransfer-Encoding: chunked", 405),
    ] {
        let mut stream = connect(relay.address);
        send(&mut stream, head);
        assert_eq!(Answer::read(&mut stream).status, status, "{head}");
    }
    assert!(begun.elapsed() < Duration::from_secs(3));
}

#[test]
fn a_body_without_end_is_not_swallowed() {
    let place = Place::new();
    let relay = inside(
        &place,
        TlsChoice::Off,
        Limits {
            head: Duration::from_secs(30),
            ..short()
        },
    );
    let mut stream = connect(relay.address);
    stream
        .write_all(b"GET / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n")
        .expect("sent");
    let chunk = format!("10000\r\n{}\r\n", "a".repeat(0x10000));
    let sent = (0..4096)
        .take_while(|_| stream.write_all(chunk.as_bytes()).is_ok())
        .count();
    assert!(sent < 1024, "{sent} chunks of 64 KiB were taken");
}
