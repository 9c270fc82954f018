//! A kill of the process does not show whether what was acknowledged is on the disk.
//! So strace writes down the relay's calls to the system: between the request and its
//! answer there is a wait for the disk that has ended well.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use relay_tests::{Phone, Relay, Store, postgres};

/// Appends that are looked at.
const APPENDS: usize = 20;

/// A call to the system.
#[derive(Debug)]
struct Call {
    /// Its line, what was unfinished joined with its end.
    text: String,
    /// When it began and ended, in seconds.
    begun_s: f64,
    ended_s: f64,
}

/// Strace must not be missing: without it this would pass without having looked.
fn assert_strace() {
    let asked = Command::new("strace").arg("--version").output();
    let runs = asked.is_ok_and(|answer| answer.status.success());
    assert!(
        runs,
        "strace is not installed; `cargo xtask test` installs Debian's package strace"
    );
}

#[test]
fn on_sqlite_an_append_is_on_the_disk_before_it_is_acknowledged() {
    let store = Store::sqlite();
    let calls = traced_appends(&store);
    let syncs =
        |call: &Call| is_done(call, &["fsync", "fdatasync"]) && call.text.contains("relay.db-wal>");
    let wrote =
        |call: &Call| call.text.contains("pwrite64(") && call.text.contains("relay.db-wal>");
    for (asked_s, answered_s) in exchanges(&calls) {
        let within = |call: &&Call| call.begun_s > asked_s && call.ended_s < answered_s;
        let last_write = calls
            .iter()
            .filter(|call| wrote(call))
            .filter(within)
            .map(|call| call.ended_s);
        let last_write = last_write.fold(f64::NAN, f64::max);
        assert!(
            !last_write.is_nan(),
            "an append was answered before it was written"
        );
        let synced = calls.iter().filter(|call| syncs(call)).filter(within);
        assert!(
            synced.into_iter().any(|call| call.begun_s >= last_write),
            "an append was answered before it was on the disk"
        );
    }
}

#[test]
fn on_postgres_an_append_is_on_the_disk_before_it_is_acknowledged() {
    assert_strace();
    let trace = postgres::traced();
    let store = Store::postgres();
    let relay_calls = traced_appends(&store);
    let server_calls = read_trace(&trace);
    let syncs: Vec<&Call> = server_calls
        .iter()
        .filter(|call| is_done(call, &["fsync", "fdatasync"]) && call.text.contains("/pg_wal/"))
        .collect();
    for (asked_s, answered_s) in exchanges(&relay_calls) {
        assert!(
            syncs
                .iter()
                .any(|call| call.begun_s > asked_s && call.ended_s < answered_s),
            "an append was answered before it was on the disk"
        );
    }
}

/// Appends one after the other, each when the one before is acknowledged, and gives
/// the calls of the relay meanwhile.
fn traced_appends(store: &Store) -> Vec<Call> {
    assert_strace();
    let trace = store.folder().join("trace");
    let trace_text = trace.to_str().expect("UTF-8");
    let calls = "trace=fsync,fdatasync,pwrite64,read,recvfrom,write,writev,sendto,sendmsg";
    let strace = [
        "strace", "-D", "-f", "-ttt", "-T", "-y", "-s", "64", "-e", calls, "-o", trace_text,
    ];
    let mut relay = Relay::start_under(store, &strace, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    for _ in 0..APPENDS {
        coach.write(&mut client, "one more");
    }
    relay.terminate();
    assert!(relay.ended().success());
    // The tracer ends after the traced.
    std::thread::sleep(Duration::from_millis(500));
    read_trace(&trace)
}

/// When each append was asked for and answered, by the relay's own calls.
fn exchanges(calls: &[Call]) -> Vec<(f64, f64)> {
    let asked = |call: &&Call| {
        call.text.contains("\"POST /v1/notebooks/") && !call.text.contains("/membership")
    };
    let answered = |call: &&Call| call.text.contains("\"HTTP/1.1 201");
    let mut pairs = Vec::new();
    for asked in calls.iter().filter(asked) {
        let answer = calls
            .iter()
            .filter(answered)
            .find(|answer| answer.begun_s > asked.ended_s);
        pairs.push((asked.ended_s, answer.expect("an answer").begun_s));
    }
    // The path is cut after 64 characters, so membership entries are among them; they
    // too are on the disk before they are acknowledged.
    assert!(pairs.len() >= APPENDS, "{} requests were seen", pairs.len());
    pairs
}

fn is_done(call: &Call, names: &[&str]) -> bool {
    names
        .iter()
        .any(|name| call.text.contains(&format!("{name}(")))
        && call.text.contains(" = 0 <")
}

/// Reads what `strace -f -ttt -T` wrote: `PID SECONDS CALL = RESULT <DURATION>`, where
/// a call that others interrupted stands in two lines.
fn read_trace(path: &Path) -> Vec<Call> {
    let mut calls = Vec::new();
    let mut unfinished: Vec<(String, String, f64)> = Vec::new();
    for line in fs::read_to_string(path).expect("the trace").lines() {
        let Some((id, rest)) = line.split_once(' ') else {
            continue;
        };
        let Some((time, text)) = rest.trim_start().split_once(' ') else {
            continue;
        };
        let Ok(time) = time.parse::<f64>() else {
            continue;
        };
        if let Some(first) = text.strip_suffix("<unfinished ...>") {
            unfinished.push((id.to_owned(), first.to_owned(), time));
        } else if text.starts_with("<... ") {
            let at = unfinished.iter().position(|(of, ..)| of == id);
            let (_, first, begun_s) = unfinished.remove(at.expect("it began"));
            calls.push(Call {
                text: format!("{first}{text}"),
                begun_s,
                ended_s: time,
            });
        } else {
            let duration = text
                .rsplit_once('<')
                .and_then(|(_, end)| end.strip_suffix('>')?.parse::<f64>().ok());
            calls.push(Call {
                text: text.to_owned(),
                begun_s: time,
                ended_s: time + duration.unwrap_or(0.0),
            });
        }
    }
    calls
}
