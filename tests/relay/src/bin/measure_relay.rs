//! Figures of the relay, one JSON object a line: `{"what","value","unit"}`.
//!
//! The relay runs as its own process on SQLite, in a folder on the disk that
//! `TMPDIR` names. What it appends a second is set against raw SQLite with the same
//! settings and the same sealed batches in the same run, in three ways: each batch in a
//! transaction of its own; the batches of a request in one, as an append has to be on
//! the disk before it is answered; and as many in a transaction as the relay put
//! together in the mean. All take turns in short rounds, so that what else the machine
//! does meanwhile meets them all alike.
//!
//! Not held to the description, and the rate limits are out of the way.

use std::path::Path;
use std::sync::Barrier;
use std::time::{Duration, Instant};

use notebook::sync::{Role, Vector, batch};
use relay_tests::client::Ask;
use relay_tests::phone::{in_a_run, send};
use relay_tests::{Client, Phone, Relay, Store};
use rusqlite::Connection;
use serde_json::json;

/// What a phone seals after a set or two: some dozens of changes.
const SMALL_BYTES: usize = 4_000;
/// Phones that append at once, each on its own connection.
const WRITERS: usize = 32;
/// Rounds in which the relay and raw SQLite take turns.
const ROUNDS: usize = 10;
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
    // What a phone seals after a set or two, and what it seals on a long catch-up:
    // a batch a request, and several of them as a phone brings what it wrote offline.
    for in_request in [1, 16] {
        appends("4 KB", 4_000, 320, in_request);
        appends("64 KB", 64_000, 48, in_request);
    }
    many_clients();
}

fn figure(what: &str, value: f64, unit: &str) {
    println!("{}", json!({"what": what, "value": value, "unit": unit}));
}

/// A request with the path that it goes to, and the batches in it.
struct Sent {
    path: String,
    body: Vec<u8>,
    batches: Vec<Vec<u8>>,
}

/// Requests of some phones, each with as many batches.
fn sealed(phones: &mut [Phone], bytes: usize, each: usize, in_request: usize) -> Vec<Vec<Sent>> {
    let text = "x".repeat(bytes);
    let request = |phone: &mut Phone| {
        let batches: Vec<Vec<u8>> = (0..in_request).map(|_| phone.seal(&text)).collect();
        let (path, body) = match &batches[..] {
            [one] => (phone.path("batches"), one.clone()),
            all => (phone.path("runs"), in_a_run(all)),
        };
        Sent {
            path,
            body,
            batches,
        }
    };
    phones
        .iter_mut()
        .map(|phone| (0..each / in_request).map(|_| request(phone)).collect())
        .collect()
}

/// What `count` of something in `took` are a second.
fn a_second(count: usize, took: Duration) -> f64 {
    count as f64 / took.as_secs_f64()
}

fn appends(size: &str, bytes: usize, each: usize, in_request: usize) {
    let store = Store::sqlite();
    let relay = Relay::start(&store, &NO_LIMITS);
    let mut coach = Phone::founder(1);
    let mut phones: Vec<Phone> = (0..WRITERS)
        .map(|n| coach.admit(Role::Player, 10 + n as u64))
        .collect();
    coach.bring_log(&mut relay.client());
    let batches = sealed(&mut phones, bytes, each, in_request);
    let own = sealed(
        std::slice::from_mut(&mut coach),
        bytes,
        5 * each,
        in_request,
    )
    .remove(0);
    let mut clients: Vec<Client> = (0..WRITERS).map(|_| connected(&relay)).collect();
    let mut client = connected(&relay);
    let raw = |name: &str| Raw::open(store.folder(), name);
    let (singly, as_asked, grouped) = (raw("singly.db"), raw("as_asked.db"), raw("grouped.db"));
    let mut took = [Duration::ZERO; 5];
    let mut changes = (0.0, 0.0);
    let mut counts = (0, 0);
    for round in 0..ROUNDS {
        let turn = |of: usize| round * of / ROUNDS..(round + 1) * of / ROUNDS;
        let now: Vec<&[Sent]> = batches.iter().map(|own| &own[turn(own.len())]).collect();
        let flat: Vec<&Vec<u8>> = now
            .iter()
            .flat_map(|own| own.iter().flat_map(|sent| &sent.batches))
            .collect();
        let own_now = &own[turn(own.len())];
        let own_flat: Vec<&Vec<u8>> = own_now.iter().flat_map(|sent| &sent.batches).collect();
        counts = (counts.0 + flat.len(), counts.1 + own_flat.len());
        let earlier = commits(&mut client);
        took[0] += at_once(&mut clients, &now);
        let later = commits(&mut client);
        changes = (
            changes.0 + later.0 - earlier.0,
            changes.1 + later.1 - earlier.1,
        );
        let group = (changes.0 / changes.1 * in_request as f64).round().max(1.0) as usize;
        took[1] += one_after_the_other(&mut client, own_now);
        took[2] += singly.append(&flat, 1);
        took[3] += as_asked.append(&own_flat, in_request);
        took[4] += grouped.append(&flat, group);
    }
    let (many, one) = (a_second(counts.0, took[0]), a_second(counts.1, took[1]));
    let (singly, grouped) = (a_second(counts.0, took[2]), a_second(counts.0, took[4]));
    let as_asked = a_second(counts.1, took[3]);
    let of = format!("{size}, {in_request} in a request");
    let tell = |what: &str, value, unit| figure(&format!("{what}, {of}"), value, unit);
    tell("relay appends a second, 32 phones", many, "1/s");
    tell("relay appends a second, one phone", one, "1/s");
    let together = changes.0 / changes.1 * in_request as f64;
    tell(
        "relay batches in a transaction, 32 phones, mean",
        together,
        "",
    );
    tell(
        "raw SQLite a second, each in its transaction",
        singly,
        "1/s",
    );
    tell(
        "raw SQLite a second, a request in a transaction",
        as_asked,
        "1/s",
    );
    tell(
        "raw SQLite a second, the relay's transactions",
        grouped,
        "1/s",
    );
    tell(
        "relay appends a second against raw SQLite, one phone, a request in a transaction",
        one / as_asked,
        "times",
    );
    tell(
        "relay appends a second against raw SQLite, 32 phones, each in its transaction",
        many / singly,
        "times",
    );
    tell(
        "relay appends a second against raw SQLite, 32 phones, the relay's transactions",
        many / grouped,
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

/// A client whose connection is there before the clock runs.
fn connected(relay: &Relay) -> Client {
    let mut client = Client::unchecked(relay.address());
    send(&mut client, "GET", "/healthz", b"");
    client
}

fn at_once(clients: &mut [Client], batches: &[&[Sent]]) -> Duration {
    let ready = Barrier::new(clients.len() + 1);
    let begun = std::thread::scope(|scope| {
        for (client, own) in clients.iter_mut().zip(batches) {
            let ready = &ready;
            scope.spawn(move || {
                ready.wait();
                one_after_the_other(client, own);
            });
        }
        let begun = Instant::now();
        ready.wait();
        begun
    });
    begun.elapsed()
}

fn one_after_the_other(client: &mut Client, batches: &[Sent]) -> Duration {
    let begun = Instant::now();
    for sent in batches {
        assert_eq!(append(client, &sent.path, &sent.body), 201);
    }
    begun.elapsed()
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

/// Raw SQLite. Only what cannot be left out: the batch, under its key.
struct Raw(Connection);

impl Raw {
    fn open(folder: &Path, name: &str) -> Self {
        let connection = Connection::open(folder.join(name)).expect("a database");
        connection
            .execute_batch(
                "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
                 CREATE TABLE batches (notebook BLOB, device BLOB, first INTEGER, last INTEGER, \
                 sealed BLOB, PRIMARY KEY (notebook, device, first))",
            )
            .expect("prepared");
        Self(connection)
    }

    /// How long it takes to append these, `group` of them in a transaction.
    fn append(&self, batches: &[&Vec<u8>], group: usize) -> Duration {
        let connection = &self.0;
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
    let mut client = connected(relay);
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
