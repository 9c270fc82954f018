//! What an operator relies on: nothing readable on the disk or in the log, counts, the
//! stop, backup and restore, and the commands.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::Output;
use std::time::Duration;

use notebook::sync::{Role, Vector};
use relay_tests::phone::{put, send, vector_of};
use relay_tests::{Phone, Relay, Store, on_both_databases};

on_both_databases! {
    neither_database_nor_log_holds_anything_readable
    the_counts_are_openmetrics_and_name_nobody
    a_request_that_has_begun_is_finished_at_the_stop
    a_backup_restores_all_into_either_database
    a_restore_never_mixes_and_a_backup_never_overwrites
    notebooks_are_listed_and_removed_by_command
}

const PLAIN: &str = "shoulder opens early, sore left wrist, Jordan";

fn contains(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|window| window == what)
}

fn neither_database_nor_log_holds_anything_readable(store: &Store) {
    let mailbox = "00112233445566778899aabbccddeeff";
    let (coach, sealed) = {
        let mut relay = Relay::start(store, &[]);
        let mut client = relay.client();
        let mut coach = Phone::founder(1);
        coach.admit(Role::Parent, 2);
        coach.bring_log(&mut client);
        let sealed: Vec<_> = (0..20).map(|_| coach.write(&mut client, PLAIN)).collect();
        coach.read(&mut client, &Vector::default(), "");
        coach.acknowledge(&mut client, &vector_of(&[&coach]));
        put(&mut client, &format!("/v1/mailboxes/{mailbox}"), b"sealed");
        send(
            &mut client,
            "GET",
            &format!("/v1/nothing?{mailbox}"),
            PLAIN.as_bytes(),
        );
        relay.terminate();
        assert!(relay.ended().success());
        let log = relay.log();
        let id = coach.membership.id().to_string();
        let device = uuid::Uuid::from_bytes(*coach.device().as_bytes())
            .simple()
            .to_string();
        for private in [
            PLAIN,
            "Jordan",
            &id,
            &device,
            mailbox,
            "127.0.0.1",
            "signature=",
        ] {
            assert!(!log.contains(private), "{private} is in the log");
        }
        assert!(
            log.contains("/v1/notebooks/{notebook}/batches"),
            "the log names the route: {log}"
        );
        (coach, sealed)
    };
    let id = coach.membership.id();
    let mut files_with_id = 0;
    for path in store.files() {
        // Files of a running server may go meanwhile.
        let Ok(bytes) = fs::read(&path) else {
            continue;
        };
        assert!(
            !contains(&bytes, b"sore left wrist"),
            "plain text in {}",
            path.display()
        );
        files_with_id +=
            usize::from(contains(&bytes, id.as_bytes()) && contains(&bytes, &sealed[0][..100]));
    }
    assert!(
        files_with_id > 0,
        "these are the files that hold the sealed batches"
    );
}

fn the_counts_are_openmetrics_and_name_nobody(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut client);
    let sealed = coach.write(&mut client, "one");
    coach.bring(&mut client, &sealed);
    send(&mut client, "GET", &coach.path("membership"), b"");
    let text = String::from_utf8(send(&mut client, "GET", "/metrics", b"").body).expect("UTF-8");
    // OpenMetrics 1.0.0: the last line, and `_total` at the end of a counter's samples.
    assert!(text.ends_with("# EOF\n"), "{text}");
    for line in [
        "# TYPE stridebook_relay_answers counter".to_owned(),
        "stridebook_relay_appended_batches_total 1".to_owned(),
        format!("stridebook_relay_appended_bytes_total {}", sealed.len()),
        "stridebook_relay_refusals_total{code=\"request-signature\"} 1".to_owned(),
        "stridebook_relay_answers_total{method=\"POST\",route=\"/v1/notebooks/{notebook}/batches\",status=\"200\"} 1".to_owned(),
    ] {
        assert!(text.lines().any(|given| given == line), "{line} is not in {text}");
    }
    assert!(!text.contains(&coach.membership.id().to_string()));
    let health = send(&mut client, "GET", "/healthz", b"");
    assert_eq!((health.status, &health.body[..]), (200, &b"ok"[..]));
}

fn a_request_that_has_begun_is_finished_at_the_stop(store: &Store) {
    let mut relay = Relay::start(store, &[]);
    let mut coach = Phone::founder(1);
    coach.bring_log(&mut relay.client());
    let sealed = coach.seal("halfway at the stop");
    let mut stream = TcpStream::connect(relay.address()).expect("the relay listens");
    let head = format!(
        "POST {} HTTP/1.1\r\nhost: relay.test\r\ncontent-length: {}\r\n\r\n",
        coach.path("batches"),
        sealed.len()
    );
    stream.write_all(head.as_bytes()).expect("sent");
    stream.write_all(&sealed[..50]).expect("sent");
    std::thread::sleep(Duration::from_millis(200));
    relay.terminate();
    std::thread::sleep(Duration::from_millis(300));
    assert!(
        TcpStream::connect(relay.address()).is_err(),
        "nothing new is taken"
    );
    stream.write_all(&sealed[50..]).expect("sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 201"), "{answer}");
    assert!(relay.ended().success());
    let relay = Relay::start(store, &[]);
    assert_eq!(
        coach
            .read(&mut relay.client(), &Vector::default(), "")
            .batches,
        [sealed]
    );
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&[&output.stdout[..], &output.stderr].concat()).into_owned()
}

fn run(store: &Store, arguments: &[&str]) -> String {
    let output = Relay::run(store, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    said(&output)
}

fn refusal(store: &Store, arguments: &[&str]) -> String {
    let output = Relay::run(store, arguments);
    assert!(!output.status.success(), "{arguments:?} must fail");
    said(&output)
}

fn a_backup_restores_all_into_either_database(store: &Store) {
    let file = store.folder().join("club.backup");
    let file = file.to_str().expect("UTF-8");
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let mut coach = Phone::founder(1);
    let parent = coach.admit(Role::Parent, 2);
    coach.bring_log(&mut client);
    // More than one page of rows, and one row as large as they come.
    let mut written: Vec<_> = (0..150)
        .map(|_| coach.write(&mut client, "one more"))
        .collect();
    written.push(coach.write(&mut client, &"x".repeat(250_000)));
    let vector = vector_of(&[&coach]);
    let snapshot = coach.snapshot(&vector);
    for part in &snapshot.parts {
        let target = coach.path(&format!(
            "snapshot/parts/{}",
            relay_tests::phone::hash_text(part)
        ));
        coach.ask(&mut client, "PUT", &target, part);
    }
    assert_eq!(
        put(&mut client, &coach.path("snapshot"), &snapshot.manifest).status,
        201
    );
    coach.acknowledge(&mut client, &vector);
    put(
        &mut client,
        "/v1/mailboxes/00112233445566778899aabbccddeeff",
        b"sealed",
    );
    // While it runs.
    run(store, &["backup", file]);
    coach.write(&mut client, "after the backup");
    for other in [Store::sqlite(), Store::postgres()] {
        run(&other, &["restore", file]);
        let relay = Relay::start(&other, &[]);
        let mut client = relay.client();
        let read = parent.read(&mut client, &Vector::default(), "");
        assert_eq!(
            (read.head.heads, read.batches.len()),
            (vector.clone(), written.len())
        );
        assert_eq!(read.batches, written);
        let kept = parent.ask(&mut client, "GET", &coach.path("snapshot"), &[]);
        assert_eq!(kept.body, snapshot.manifest);
        let taken = send(
            &mut client,
            "POST",
            "/v1/mailboxes/00112233445566778899aabbccddeeff/take",
            b"",
        );
        assert_eq!(taken.body, b"sealed");
        // The acknowledgement came along: with the parent's, the entries go.
        parent.acknowledge(&mut client, &vector);
        assert!(
            parent
                .read(&mut client, &Vector::default(), "")
                .batches
                .is_empty()
        );
    }
}

fn a_restore_never_mixes_and_a_backup_never_overwrites(store: &Store) {
    let file = store.folder().join("club.backup");
    let file_text = file.to_str().expect("UTF-8");
    {
        let relay = Relay::start(store, &[]);
        Phone::founder(1).bring_log(&mut relay.client());
    }
    run(store, &["backup", file_text]);
    let before = fs::read(&file).expect("the backup");
    let told = refusal(store, &["backup", file_text]);
    assert!(told.contains("is there already"), "{told}");
    let told = refusal(store, &["restore", file_text]);
    assert!(told.contains("holds notebooks already"), "{told}");
    assert_eq!(
        fs::read(&file).expect("the backup"),
        before,
        "it stays as it is"
    );
    let odd = store.folder().join("odd");
    fs::write(&odd, PLAIN.repeat(100)).expect("written");
    let told = refusal(&Store::sqlite(), &["restore", odd.to_str().expect("UTF-8")]);
    assert!(told.contains("is no backup of a relay"), "{told}");
    let left: Vec<_> = fs::read_dir(store.folder())
        .expect("the folder")
        .flatten()
        .collect();
    let left = left
        .iter()
        .map(|entry| entry.file_name().into_string().expect("UTF-8"));
    assert!(
        left.into_iter()
            .all(|name| !name.contains("unfinished") && !name.contains("restoring"))
    );
}

fn notebooks_are_listed_and_removed_by_command(store: &Store) {
    let relay = Relay::start(store, &[]);
    let mut client = relay.client();
    let (mut one, mut two) = (Phone::founder(1), Phone::founder(2));
    one.bring_log(&mut client);
    two.bring_log(&mut client);
    let sealed = one.write(&mut client, "one");
    two.write(&mut client, "two");
    let (one_id, two_id) = (
        one.membership.id().to_string(),
        two.membership.id().to_string(),
    );
    let listed = run(store, &["notebooks"]);
    let line = listed
        .lines()
        .find(|line| line.contains(&one_id))
        .expect("its line");
    assert!(
        line.starts_with(&format!("{one_id}\t1\t1\t{}\t20", sealed.len())),
        "{line}"
    );
    run(store, &["remove-notebook", &one_id]);
    let listed = run(store, &["notebooks"]);
    assert!(
        !listed.contains(&one_id) && listed.contains(&two_id),
        "{listed}"
    );
    assert_eq!(
        one.bring(&mut client, &sealed).refusal(),
        (404, "no-notebook".into())
    );
    assert_eq!(
        two.read(&mut client, &Vector::default(), "").batches.len(),
        1
    );
    let told = refusal(store, &["remove-notebook", &one_id]);
    assert!(told.contains("there is no notebook"), "{told}");
    // Its phones can bring it back.
    one.bring_log(&mut client);
    assert_eq!(one.bring(&mut client, &sealed).status, 201);
}

#[test]
fn a_database_that_cannot_be_used_keeps_the_relay_from_starting() {
    let store = Store::sqlite();
    fs::create_dir_all(store.data()).expect("made");
    fs::write(store.data().join("relay.db"), PLAIN.repeat(100)).expect("written");
    let told = refusal(&store, &["notebooks"]);
    assert!(told.contains("the database cannot be used: "), "{told}");
    let newer = Store::sqlite();
    run(&newer, &["notebooks"]);
    let open = rusqlite::Connection::open(newer.data().join("relay.db")).expect("a database");
    open.execute("UPDATE relay_schema SET version = 99", [])
        .expect("changed");
    drop(open);
    let told = refusal(&newer, &["notebooks"]);
    assert!(told.contains("the database has version 99"), "{told}");
}

#[cfg(unix)]
#[test]
fn the_database_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let store = Store::sqlite();
    let relay = Relay::start(&store, &[]);
    Phone::founder(1).bring_log(&mut relay.client());
    let mode =
        |path: std::path::PathBuf| fs::metadata(path).expect("there").permissions().mode() & 0o777;
    assert_eq!(mode(store.data()), 0o700);
    for name in ["relay.db", "relay.db-wal", "relay.db-shm"] {
        assert_eq!(mode(store.data().join(name)), 0o600, "{name}");
    }
}
