//! Every format that leaves the phone, pinned: a change of one byte cannot pass
//! unseen. If one of these must change, its letters get the next version, and
//! both versions are read.

use devices::chance::Chance;
use devices::club_of_three::{Three, hitters};
use devices::samples::device;
use notebook::sync::exchange::{AnswerHead, AnswerReader, Piece, ReadAnswer, ReadRequest, Then};
use notebook::sync::passes::{self, Mailboxes, Pass};
use notebook::sync::problem::Problem;
use notebook::sync::request::Asked;
use notebook::sync::run::{self, Run};
use notebook::sync::words::{Words, digits, six_words};
use notebook::sync::{Error, Hash, Point, Role, Vector, acknowledgement, file, recovery, snapshot};
use notebook::{Change, RecordId};
use serde_json::json;

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Length and hash: enough to see any change of a longer message.
fn pin(bytes: &[u8]) -> String {
    format!("{} {}", bytes.len(), &Hash::of(bytes).to_string()[..16])
}

fn vector() -> Vector {
    let mut vector = Vector::default();
    vector.set(
        device(2),
        Point {
            last: 258,
            hash: Hash::from_bytes([7; 32]),
        },
    );
    vector.set(
        device(1),
        Point {
            last: 1,
            hash: Hash::from_bytes([8; 32]),
        },
    );
    vector
}

#[test]
fn a_vector() {
    let bytes = vector().bytes();
    let expected = [
        "0002",
        &"01".repeat(16),
        "00000001",
        &"08".repeat(32),
        &"02".repeat(16),
        "00000102",
        &"07".repeat(32),
    ]
    .concat();
    assert_eq!(hex(&bytes), expected);
    assert_eq!(Vector::read(&bytes), Ok(vector()));
    // One encoding only: in rising order, without empty points or a remainder.
    let (count, points) = bytes.split_at(2);
    let swapped = [count, &points[52..], &points[..52]].concat();
    assert_eq!(Vector::read(&swapped), Err(Error::Order));
    let zero = [count, &points[..16], &[0; 4], &points[20..]].concat();
    assert_eq!(Vector::read(&zero), Err(Error::Range { first: 1, last: 0 }));
    assert_eq!(
        Vector::read(&[bytes.clone(), vec![0]].concat()),
        Err(Error::Surplus)
    );
    assert_eq!(Vector::read(&bytes[..80]), Err(Error::Cut));
}

#[test]
fn the_entries_of_a_membership_log() {
    let mut three = Three::of(1);
    let members = [(device(1), Role::Coach), (device(2), Role::Parent)];
    let mut closed = Vector::default();
    closed.set(
        device(2),
        Point {
            last: 3,
            hash: Hash::from_bytes([7; 32]),
        },
    );
    let epoch = three
        .signing()
        .new_epoch(&members, closed, &mut Chance::of(5));
    three.append(epoch.unwrap().entry);
    let hand_over = three.signing().hand_over(device(2)).unwrap();
    three.append(hand_over);
    let found = &three.entries[0];
    assert_eq!(hex(&found[..4]), "53424d31");
    assert_eq!(
        hex(&found[4..72]),
        "00".repeat(68),
        "no notebook, number or entry before"
    );
    assert_eq!(
        hex(&found[72..89]),
        ["01".repeat(16), "00".into()].concat(),
        "signer and kind"
    );
    assert_eq!(found.len(), 4 + 32 + 4 + 32 + 16 + 1 + 16 + 81 + 64);
    let pins: Vec<String> = three.entries.iter().map(|entry| pin(entry)).collect();
    assert_eq!(pins, ENTRIES);
    assert_eq!(
        three.membership.id().to_string(),
        Hash::of(found).to_string()
    );
}

/// Changes of a kind that no version knows, so that a new field of a known kind
/// changes no pin of the format around it.
fn things(count: u8) -> Vec<Change> {
    let thing = |n| Change {
        store: "things".to_owned(),
        record: json!({"head": {"id": RecordId::from_bytes([n; 16]).to_string()}, "n": n}),
    };
    (1..=count).map(thing).collect()
}

#[test]
fn a_batch() {
    let three = Three::of(1);
    let parent = three.device(&three.parent);
    let seal = |tip, count, number| {
        let sealed = parent.seal(tip, &things(count), &mut Chance::of(number));
        sealed.unwrap().unwrap()
    };
    let first = seal(None, 1, 1);
    let batch = seal(Some(first.header.point()), 2, 2);
    let header = [
        hex(b"SBB1"),
        three.membership.id().to_string(),
        "00000001".into(),
        "02".repeat(16),
        "00000002".into(),
        "00000003".into(),
        first.header.content.to_string(),
        batch.header.content.to_string(),
    ]
    .concat();
    assert_eq!(hex(&batch.bytes[..128]), header);
    assert_eq!(pin(&batch.bytes), BATCH);
    // Inside: random bytes, then the changes as JSON.
    let content = notebook::sync::batch::Sealed::read(&batch.bytes)
        .unwrap()
        .open(&three.owner.keys)
        .unwrap();
    let expected = concat!(
        r#"[{"store":"things","record":{"head":{"id":"01010101-0101-0101-0101-010101010101"},"n":1}},"#,
        r#"{"store":"things","record":{"head":{"id":"02020202-0202-0202-0202-020202020202"},"n":2}}]"#
    );
    assert_eq!(content[16..], *expected.as_bytes());
}

#[test]
fn a_run_of_batches() {
    let three = Three::of(1);
    let parent = three.device(&three.parent);
    let mut tip = None;
    let batches: Vec<Vec<u8>> = (0..3)
        .map(|number| {
            let sealed = parent.seal(tip, &things(1), &mut Chance::of(number));
            let sealed = sealed.unwrap().unwrap();
            tip = Some(sealed.header.point());
            sealed.bytes
        })
        .collect();
    let mut made = Run::default();
    for batch in &batches {
        assert!(made.push(batch));
    }
    let mut expected = b"SBN1".to_vec();
    for batch in &batches {
        expected.extend(u32::try_from(batch.len()).unwrap().to_be_bytes());
        expected.extend(batch);
    }
    assert_eq!(made.bytes(), expected);
    let read = run::read(&expected).unwrap();
    let read: Vec<&[u8]> = read.into_iter().map(|(_, bytes)| bytes).collect();
    assert_eq!(read, batches);
    // Empty, cut, longer, newer, and with one left out.
    assert_eq!(run::read(b"SBN1"), Err(Error::Cut));
    assert_eq!(run::read(&expected[..expected.len() - 1]), Err(Error::Cut));
    assert!(run::read(&[&expected[..], &[0]].concat()).is_err());
    let newer = [b"SBN2", &expected[4..]].concat();
    assert!(matches!(run::read(&newer), Err(Error::Newer(_))));
    let mut without = Run::default();
    assert!(without.push(&batches[0]) && without.push(&batches[2]));
    let gap = Error::Gap {
        device: three.parent.secret.device(),
        last: 1,
    };
    assert_eq!(run::read(without.bytes()), Err(gap));
    // No more than its bounds.
    let mut full = Run::default();
    let fitted = std::iter::repeat_n(&batches[0], 100).take_while(|batch| full.push(batch));
    assert_eq!(fitted.count(), run::MAX_BATCHES);
    assert!(!Run::default().push(&vec![0; run::MAX_BYTES]));
}

#[test]
fn an_acknowledgement_and_a_snapshot() {
    let three = Three::of(1);
    let id = three.membership.id();
    let word = acknowledgement::sign(&three.owner.secret, id, &vector());
    let expected = [
        hex(b"SBA1"),
        id.to_string(),
        "01".repeat(16),
        hex(&vector().bytes()),
    ];
    assert_eq!(hex(&word[..word.len() - 64]), expected.concat());
    assert_eq!(pin(&word), ACKNOWLEDGEMENT);
    let (secret, keys) = (&three.owner.secret, &three.owner.keys);
    let mut chance = Chance::of(3);
    let records = things(1);
    let made = snapshot::make(
        secret,
        &three.membership,
        keys,
        &vector(),
        records,
        &mut chance,
    )
    .unwrap();
    let expected = [
        hex(b"SBS1"),
        id.to_string(),
        "00000001".into(),
        "01".repeat(16),
        "00000003".into(),
        hex(&vector().bytes()),
        "0001".into(),
        Hash::of(&made.parts[0]).to_string(),
    ];
    assert_eq!(
        hex(&made.manifest[..made.manifest.len() - 64]),
        expected.concat()
    );
    assert_eq!(
        hex(&made.parts[0][..42]),
        [hex(b"SBP1"), id.to_string(), "000000010000".into()].concat()
    );
    assert_eq!([pin(&made.manifest), pin(&made.parts[0])], SNAPSHOT);
}

#[test]
fn a_long_snapshot_comes_in_parts_of_bounded_size() {
    let three = Three::of(1);
    let (secret, keys) = (&three.owner.secret, &three.owner.keys);
    let records = hitters(2_000, 1);
    let mut chance = Chance::of(3);
    let made = snapshot::make(
        secret,
        &three.membership,
        keys,
        &vector(),
        records.clone(),
        &mut chance,
    )
    .unwrap();
    assert!(made.parts.len() > 3);
    assert!(
        made.parts
            .iter()
            .all(|part| part.len() <= snapshot::MAX_PART_BYTES)
    );
    let manifest = snapshot::Manifest::read(&made.manifest).unwrap();
    let mut opened = Vec::new();
    for (index, part) in (0..).zip(&made.parts) {
        opened.extend(manifest.open_part(index, part, &three.reader.keys).unwrap());
    }
    assert_eq!(opened, records);
}

#[test]
fn many_changes_are_sealed_in_batches_of_bounded_size() {
    let three = Three::of(1);
    let changes = hitters(1_000, 1);
    let (mut tip, mut waiting, mut sealed) = (None, changes.as_slice(), 0);
    while let Some(batch) = three
        .device(&three.parent)
        .seal(tip, waiting, &mut Chance::of(sealed))
        .unwrap()
    {
        assert!(batch.bytes.len() < 70_000, "{} bytes", batch.bytes.len());
        let count = batch.header.last - batch.header.first + 1;
        waiting = &waiting[usize::try_from(count).unwrap()..];
        tip = Some(batch.header.point());
        sealed += 1;
    }
    assert_eq!(tip.unwrap().last, 1_000);
    assert!(sealed > 3);
    // A record too large to be sent is refused before anybody confirms it.
    let mut huge = changes[0].clone();
    huge.record["name"]["value"] = "x".repeat(300_000).into();
    let refused = notebook::sync::log::check_size(&huge);
    assert!(matches!(refused, Err(Error::RecordTooLarge { .. })));
}

#[test]
fn the_messages_of_reading() {
    let request = ReadRequest {
        members: 3,
        vector: vector(),
    };
    let expected = [hex(b"SBV1"), "00000003".into(), hex(&vector().bytes())].concat();
    assert_eq!(hex(&request.bytes()), expected);
    assert_eq!(ReadRequest::read(&request.bytes()), Ok(request));
    let head = AnswerHead {
        members: 3,
        then: Then::More,
        heads: vector(),
    };
    let answer = ReadAnswer {
        head: head.clone(),
        batches: vec![vec![1, 2], vec![3]],
    };
    let expected = [
        hex(b"SBR1"),
        "0000000301".into(),
        hex(&vector().bytes()),
        "000000020102".into(),
        "0000000103".into(),
    ];
    assert_eq!(hex(&answer.bytes()), expected.concat());
    // Wherever an answer breaks, what came whole is kept and nothing else.
    let bytes = answer.bytes();
    for length in 0..=bytes.len() {
        let mut reader = AnswerReader::default();
        let mut pieces = Vec::new();
        for byte in &bytes[..length] {
            pieces.extend(reader.push(&[*byte]).unwrap());
        }
        let mut at_once = AnswerReader::default();
        assert_eq!(at_once.push(&bytes[..length]).unwrap(), pieces);
        let whole = [
            Piece::Head(head.clone()),
            Piece::Batch(vec![1, 2]),
            Piece::Batch(vec![3]),
        ];
        let ends = [bytes.len() - 11, bytes.len() - 5, bytes.len()];
        let count = ends.iter().filter(|end| **end <= length).count();
        assert_eq!(pieces, whole[..count]);
        assert_eq!(reader.end().is_ok(), ends.contains(&length));
    }
    let mut endless = AnswerReader::default();
    endless.push(&bytes[..bytes.len() - 11]).unwrap();
    let limit = notebook::sync::batch::MAX_BYTES;
    assert_eq!(endless.push(&[0xff; 4]), Err(Error::TooLarge { limit }));
}

#[test]
fn a_signed_request() {
    let three = Three::of(1);
    let asked = Asked {
        method: "GET",
        path_and_query: "/v1/notebooks",
        body: b"",
    };
    let header = asked.sign(&three.owner.secret, 1_750_000_000);
    let start = format!(
        "Stridebook device={}, time=1750000000, signature=",
        "01".repeat(16)
    );
    assert_eq!(header.len(), start.len() + 128);
    assert!(header.starts_with(&start));
    assert_eq!(pin(header.as_bytes()), REQUEST);
}

#[test]
fn passes_files_words_and_sheets() {
    let three = Three::of(1);
    let id = three.membership.id();
    let owner = three.owner.secret.certificate(Role::Coach);
    let pass = Pass {
        notebook: id,
        role: Role::Player,
        owner,
        expires_s: 1_750_000_000,
    };
    let expected = [
        hex(b"SBT1"),
        id.to_string(),
        "03".into(),
        "01".repeat(16),
        hex(&owner.signing),
        hex(&owner.receiving),
        "01".into(),
        "00000000684ee180".into(),
    ];
    assert_eq!(hex(&pass.bytes()), expected.concat());
    let words = Words::from_bytes([0x7f; 16]);
    let mailboxes = Mailboxes::of(&words);
    assert_eq!(
        [hex(&mailboxes.pass.name), hex(&mailboxes.request.name)],
        MAILBOXES
    );
    let shown = pass.seal_to(
        &three.parent.secret.certificate(Role::Player),
        &mut Chance::of(1),
    );
    assert_eq!(
        [
            pin(&mailboxes.pass.seal(b"pass", &mut Chance::of(1))),
            pin(&shown.unwrap()),
            pin(&passes::request(&three.parent.secret, Role::Player)),
            pin(&file::write(id, three.entries.iter().map(Vec::as_slice))),
        ],
        PASSES
    );
    let sheet = recovery::sheet(&words);
    let fingerprint = sheet.certificate(Role::Recovery).fingerprint();
    assert_eq!(sheet.device().to_string(), SHEET_DEVICE);
    assert_eq!(digits(&fingerprint), SHEET_DIGITS);
    assert_eq!(six_words(&fingerprint).join(" "), SHEET_WORDS);
}

#[test]
fn the_codes_of_the_relays_refusals() {
    let codes: Vec<String> = Problem::ALL
        .iter()
        .map(|problem| format!("{} {}", problem.status(), problem.code()))
        .collect();
    assert_eq!(codes.join("\n"), PROBLEMS.trim());
    for problem in Problem::ALL {
        assert_eq!(Problem::of_code(problem.code()), Some(*problem));
        assert!(problem.sentence().ends_with('.'));
    }
    assert_eq!(Problem::of_code("of-a-newer-relay"), None);
}

const ENTRIES: [&str; 5] = [
    "250 687a05806808d24d",
    "314 42e5260a791794b8",
    "314 add0064d8c17feae",
    "451 2813bf4358d4aced",
    "169 1c549c37fa0a8b37",
];
const BATCH: &str = "427 1f54aa41596981df";
const ACKNOWLEDGEMENT: &str = "222 e1e50a75f94983c6";
const SNAPSHOT: [&str; 2] = ["264 d24cbd564ef45a94", "172 778e55676c4d8854"];
const REQUEST: &str = "207 a1dfc49c09b093ab";
const MAILBOXES: [&str; 2] = [
    "8169d6de7c189133c0637a820ab48417",
    "bf6bf0bf3c19f3e8a4f858d798c58a5a",
];
const PASSES: [&str; 4] = [
    "44 8da6a94fa41088e8",
    "174 4850ad1dc89f0d35",
    "149 31ba5b95b7466952",
    "962 26a9760ef2eba894",
];
const SHEET_DEVICE: &str = "02321b3d-09d7-ec25-272e-0660569c29d2";
const SHEET_DIGITS: &str = "79024 48870 80507 53550";
const SHEET_WORDS: &str = "ahead infant surround dignity option enact";
const PROBLEMS: &str = "
400 damaged
400 newer-format
400 wrong-notebook
400 signature
401 request-signature
401 request-time
403 not-certified
403 role
403 not-owner
403 membership-rule
404 no-notebook
404 none
409 stale-epoch
409 unknown-epoch
409 clash
409 gap
409 membership-gap
409 membership-fork
409 not-in-step
409 parts-missing
409 snapshot-mismatch
409 snapshot-older
409 mailbox-full
413 too-large
429 slow-down
500 internal
503 unavailable
507 quota
";
