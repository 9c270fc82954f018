//! Figures of the relay, one JSON object a line: `{"what","value","unit"}`.
//!
//! The relay runs as its own process on SQLite, in a folder on the disk that
//! `TMPDIR` names. What it appends a second is set against raw SQLite with the same
//! settings and the same sealed batches in the same run, in two ways: each batch in a
//! transaction of its own, as an append has to be on the disk by itself; and as many
//! batches in a transaction as the relay put together in the mean.
//!
//! Not held to the description, and the rate limits are out of the way.

use std::path::Path;
use std::sync::Barrier;
use std::time::{Duration, Instant};

use notebook::sync::{Role, Vector, batch};
use relay_tests::client::Ask;
use relay_tests::phone::send;
use relay_tests::{Client, Phone, Relay, Store};
use rusqlite::Connection;
use serde_json::json;

/// What a phone seals after a set or two: some dozens of changes.
const SMALL_BYTES: usize = 4_000;
/// Phones that append at once, each on its own connection.
const WRITERS: usize = 32;
/// Clients of the figure for many clients.
const CLIENTS: usize = 500;
/// Requests that each of them makes.
const REQUESTS: usize = 10;

const NO_LIMITS: [&str; 6] = [
    "--address-rate",
    "100000000",
    "--notebook-rate",
    "100000000",
    "--connections",
    "2000",
];

fn main() {
    // What a phone seals after a set or two, and what it seals on a long catch-up.
    appends("4 KB", 4_000, 200);
    appends("64 KB", 64_000, 40);
    many_clients();
}

fn figure(what: &str, value: f64, unit: &str) {
    println!("{}", json!({"what": what, "value": value, "unit": unit}));
}

/// Sealed batches of some phones, each with the path that it goes to.
fn sealed(phones: &mut [Phone], bytes: usize, each: usize) -> Vec<Vec<(String, Vec<u8>)>> {
    let text = "x".repeat(bytes);
    let seal = |phone: &mut Phone| (phone.path("batches"), phone.seal(&text));
    phones
        .iter_mut()
        .map(|phone| (0..each).map(|_| seal(phone)).collect())
        .collect()
}

fn appends(size: &str, bytes: usize, each: usize) {
    let store = Store::sqlite();
    let relay = Relay::start(&store, &NO_LIMITS);
    let mut coach = Phone::founder(1);
    let mut phones: Vec<Phone> = (0..WRITERS)
        .map(|n| coach.admit(Role::Player, 10 + n as u64))
        .collect();
    coach.bring_log(&mut relay.client());
    let batches = sealed(&mut phones, bytes, each);
    let before = commits(&mut relay.client());
    let begun = Instant::now();
    std::thread::scope(|scope| {
        for own in &batches {
            let mut client = Client::unchecked(relay.address());
            scope.spawn(move || {
                for (target, body) in own {
                    assert_eq!(append(&mut client, target, body), 201);
                }
            });
        }
    });
    let all = (WRITERS * each) as f64;
    let by_relay = all / begun.elapsed().as_secs_f64();
    let after = commits(&mut relay.client());
    let together = (after.0 - before.0) / (after.1 - before.1);
    let flat: Vec<&Vec<u8>> = batches.iter().flatten().map(|(_, body)| body).collect();
    let singly = all / raw(store.folder(), "singly.db", &flat, 1).as_secs_f64();
    let group = together.round().max(1.0) as usize;
    let grouped = all / raw(store.folder(), "grouped.db", &flat, group).as_secs_f64();
    let one = one_writer(&relay, &mut coach, bytes, each);
    figure(
        &format!("relay appends a second, 32 phones, {size}"),
        by_relay,
        "1/s",
    );
    figure(
        &format!("relay appends that shared a transaction, mean, {size}"),
        together,
        "",
    );
    figure(
        &format!("relay appends a second, one phone after the other, {size}"),
        one,
        "1/s",
    );
    figure(
        &format!("raw SQLite appends a second, each in its transaction, {size}"),
        singly,
        "1/s",
    );
    figure(
        &format!("raw SQLite appends a second, as many in a transaction as the relay, {size}"),
        grouped,
        "1/s",
    );
    figure(
        &format!(
            "relay appends a second against raw SQLite, one phone, each in its transaction, {size}"
        ),
        one / singly,
        "times",
    );
    figure(
        &format!(
            "relay appends a second against raw SQLite, 32 phones, each in its transaction, {size}"
        ),
        by_relay / singly,
        "times",
    );
    figure(
        &format!("relay appends a second against raw SQLite, 32 phones, same transactions, {size}"),
        by_relay / grouped,
        "times",
    );
}

fn append(client: &mut Client, target: &str, body: &[u8]) -> u16 {
    let ask = Ask {
        method: "POST",
        target,
        headers: &[],
        body,
    };
    client.try_ask(&ask).expect("an answer").status
}

fn one_writer(relay: &Relay, coach: &mut Phone, bytes: usize, each: usize) -> f64 {
    let own = sealed(std::slice::from_mut(coach), bytes, 5 * each).remove(0);
    let mut client = Client::unchecked(relay.address());
    let begun = Instant::now();
    for (target, body) in &own {
        assert_eq!(append(&mut client, target, body), 201);
    }
    own.len() as f64 / begun.elapsed().as_secs_f64()
}

/// Changes so far, and the transactions that they were made in, by the relay's own
/// counts.
fn commits(client: &mut Client) -> (f64, f64) {
    let text = String::from_utf8(send(client, "GET", "/metrics", b"").body).expect("UTF-8");
    let value = |name: &str| -> f64 {
        let line = text
            .lines()
            .find(|line| line.starts_with(&format!("{name} ")));
        let value = line.and_then(|line| line.rsplit(' ').next()?.parse().ok());
        value.unwrap_or_else(|| panic!("no {name} in {text}"))
    };
    (
        value("stridebook_relay_changes_in_commit_sum"),
        value("stridebook_relay_changes_in_commit_count"),
    )
}

/// How long raw SQLite takes for the same batches, `group` of them in a transaction.
/// Only what cannot be left out: the batch, under its key.
fn raw(folder: &Path, name: &str, batches: &[&Vec<u8>], group: usize) -> Duration {
    let connection = Connection::open(folder.join(name)).expect("a database");
    connection
        .execute_batch(
            "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
             CREATE TABLE batches (notebook BLOB, device BLOB, first INTEGER, last INTEGER, \
             sealed BLOB, PRIMARY KEY (notebook, device, first))",
        )
        .expect("prepared");
    let mut insert = connection
        .prepare("INSERT INTO batches VALUES (?, ?, ?, ?, ?)")
        .expect("prepared");
    let begun = Instant::now();
    for some in batches.chunks(group) {
        connection.execute_batch("BEGIN IMMEDIATE").expect("begun");
        for sealed in some {
            let header = batch::Sealed::read(sealed).expect("a batch").header;
            insert
                .execute((
                    header.notebook.as_bytes(),
                    header.device.as_bytes(),
                    header.first,
                    header.last,
                    sealed,
                ))
                .expect("inserted");
        }
        connection.execute_batch("COMMIT").expect("committed");
    }
    begun.elapsed()
}

/// All clients at once, each on its own connection: four reads of what is new, then an
/// append, as fast as they are answered.
fn many_clients() {
    let store = Store::sqlite();
    let relay = Relay::start(&store, &NO_LIMITS);
    let mut phones: Vec<Phone> = (0..CLIENTS)
        .map(|n| Phone::founder(1_000 + n as u64))
        .collect();
    for phone in &phones {
        phone.bring_log(&mut relay.client());
    }
    let ready = Barrier::new(CLIENTS);
    let mut times: Vec<Duration> = std::thread::scope(|scope| {
        let clients: Vec<_> = phones
            .iter_mut()
            .map(|phone| scope.spawn(|| client_at_work(phone, &relay, &ready)))
            .collect();
        clients
            .into_iter()
            .flat_map(|client| client.join().expect("answered"))
            .collect()
    });
    times.sort();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize].as_secs_f64() * 1e3;
    figure("500 clients at once, requests, median", at(0.5), "ms");
    figure(
        "500 clients at once, requests, 99th percentile",
        at(0.99),
        "ms",
    );
}

fn client_at_work(phone: &mut Phone, relay: &Relay, ready: &Barrier) -> Vec<Duration> {
    let mut client = Client::unchecked(relay.address());
    // The connection is there before the clock runs.
    send(&mut client, "GET", "/healthz", b"");
    ready.wait();
    let mut times = Vec::with_capacity(REQUESTS);
    for at in 0..REQUESTS {
        let sealed =
            (at % 5 == 4).then(|| (phone.path("batches"), phone.seal(&"x".repeat(SMALL_BYTES))));
        let begun = Instant::now();
        match sealed {
            Some((target, body)) => assert_eq!(append(&mut client, &target, &body), 201),
            None => drop(phone.read(&mut client, &Vector::default(), "")),
        }
        times.push(begun.elapsed());
    }
    times
}
