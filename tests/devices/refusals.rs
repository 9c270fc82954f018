//! What is damaged, repeated, swapped, forged or not allowed is refused with a
//! clear error, and nothing of it is applied: `receive` hands out changes or an
//! error, never both, and a phone's store is only touched by changes.

use devices::chance::Chance;
use devices::club_of_three::{Three, header, hitters};
use devices::relay::Relay;
use devices::samples::device;
use notebook::sync::batch::{Held, Place, Sealed};
use notebook::sync::snapshot::{self, Manifest};
use notebook::sync::{DeviceSecret, Error, Hash, Point, Role, Vector, acknowledgement, file};
use notebook::{Change, DeviceId};

fn received(three: &Three, bytes: &[u8], tip: Option<Point>) -> Result<Vec<Change>, Error> {
    let device = three.device(&three.owner);
    device
        .receive(bytes, tip, None)
        .map(|received| received.changes)
}

#[test]
fn a_batch_opens_for_every_member_and_holds_what_was_written() {
    let three = Three::of(1);
    let batch = three.batch(None, 3, 1);
    assert_eq!(received(&three, &batch.bytes, None), Ok(hitters(3, 1)));
    let reader = three.device(&three.reader);
    assert_eq!(
        reader.receive(&batch.bytes, None, None).unwrap().changes,
        hitters(3, 1)
    );
}

#[test]
fn no_flipped_bit_of_a_batch_goes_unseen() {
    let three = Three::of(1);
    let batch = three.batch(None, 1, 1).bytes;
    for bit in 0..batch.len() * 8 {
        let mut flipped = batch.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        assert!(received(&three, &flipped, None).is_err(), "bit {bit}");
    }
}

#[test]
fn no_flipped_bit_of_other_signed_messages_goes_unseen() {
    let three = Three::of(1);
    let vector = three.batch(None, 1, 1).header.point();
    let mut all = Vector::default();
    all.set(device(2), vector);
    let word = acknowledgement::sign(&three.owner.secret, three.membership.id(), &all);
    let manifest = snapshot_of(&three, &all).manifest;
    for bit in 0..word.len() * 8 {
        let mut flipped = word.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        let read = acknowledgement::Acknowledgement::read(&flipped);
        assert!(
            read.and_then(|word| word.check(&three.membership)).is_err(),
            "bit {bit}"
        );
    }
    for bit in 0..manifest.len() * 8 {
        let mut flipped = manifest.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        let read = Manifest::read(&flipped);
        assert!(
            read.and_then(|it| it.check(&three.membership)).is_err(),
            "bit {bit}"
        );
    }
}

#[test]
fn a_batch_cut_short_at_any_byte_is_refused() {
    let three = Three::of(1);
    let batch = three.batch(None, 1, 1).bytes;
    for length in 0..batch.len() {
        assert!(
            received(&three, &batch[..length], None).is_err(),
            "{length} bytes"
        );
    }
    let longer = [batch, vec![0]].concat();
    assert!(received(&three, &longer, None).is_err());
}

#[test]
fn the_errors_say_what_is_wrong() {
    let three = Three::of(1);
    let batch = three.batch(None, 1, 1);
    let flip = |at: usize| {
        let mut flipped = batch.bytes.clone();
        flipped[at] ^= 1;
        received(&three, &flipped, None).unwrap_err()
    };
    assert_eq!(flip(0), Error::OtherKind("a sealed batch"));
    assert_eq!(flip(3), Error::Newer("a sealed batch"));
    assert_eq!(flip(4), Error::WrongNotebook);
    assert_eq!(flip(200), Error::Signature);
    assert_eq!(received(&three, &batch.bytes[..160], None), Err(Error::Cut));
}

#[test]
fn a_batch_that_comes_again_is_known_and_changes_nothing() {
    let three = Three::of(1);
    let batch = three.batch(None, 2, 1);
    let device = three.device(&three.owner);
    let held = Held {
        content: batch.header.content,
        epoch: 1,
    };
    for held in [Some(held), None] {
        let again = device
            .receive(&batch.bytes, Some(batch.header.point()), held)
            .unwrap();
        assert_eq!((again.place, again.changes), (Place::Known, vec![]));
    }
}

#[test]
fn swapped_batches_are_a_gap() {
    let three = Three::of(1);
    let first = three.batch(None, 2, 1);
    let second = three.batch(Some(first.header.point()), 2, 2);
    let gap = Error::Gap {
        device: device(2),
        last: 0,
    };
    assert_eq!(received(&three, &second.bytes, None), Err(gap));
    assert!(received(&three, &second.bytes, Some(first.header.point())).is_ok());
}

#[test]
fn a_batch_of_another_notebook_is_refused() {
    let (three, other) = (Three::of(1), Three::of(2));
    let foreign = other.batch(None, 1, 1);
    assert_eq!(
        received(&three, &foreign.bytes, None),
        Err(Error::WrongNotebook)
    );
}

#[test]
fn a_batch_by_somebody_who_is_no_member_is_refused() {
    let mut three = Three::of(1);
    let stranger = DeviceSecret::draw(device(9), &mut three.chance);
    let three = Three {
        parent: devices::club_of_three::Member {
            secret: stranger,
            keys: three.owner.keys.clone(),
        },
        ..three
    };
    let refused = three
        .device(&three.parent)
        .seal(None, &hitters(1, 1), &mut Chance::of(1));
    assert_eq!(
        refused,
        Err(Error::NotCertified(device(9))),
        "it refuses itself"
    );
}

/// A batch by this member, sealed without the check of one's own role.
fn sealed_anyway(three: &Three, member: &devices::club_of_three::Member) -> Vec<u8> {
    let next = notebook::sync::batch::NextBatch {
        notebook: three.membership.id(),
        epoch: 1,
        tip: None,
        last: 1,
    };
    let content = [vec![0; 16], serde_json::to_vec(&hitters(1, 1)).unwrap()].concat();
    let keys = &three.owner.keys;
    notebook::sync::batch::seal(&member.secret, keys, &next, &content, &mut Chance::of(1))
        .unwrap()
        .1
}

#[test]
fn a_read_only_devices_write_is_refused_by_everybody() {
    let three = Three::of(1);
    let forbidden = Error::RoleForbids {
        device: device(3),
        role: Role::ReadOnly,
    };
    let own = three
        .device(&three.reader)
        .seal(None, &hitters(1, 1), &mut Chance::of(1));
    assert_eq!(own, Err(forbidden.clone()), "it refuses itself");
    let bytes = sealed_anyway(&three, &three.reader);
    assert_eq!(
        received(&three, &bytes, None),
        Err(forbidden.clone()),
        "a phone refuses it"
    );
    let mut relay = Relay::found(three.entries[0].clone()).unwrap();
    for entry in &three.entries {
        relay.put_entry(entry, false).unwrap();
    }
    assert_eq!(relay.append(&bytes), Err(forbidden), "the relay refuses it");
    assert_eq!(relay.batch_count(), 0);
}

#[test]
fn an_old_epoch_is_refused_unless_it_counted_when_it_ended() {
    let mut three = Three::of(1);
    let first = three.batch(None, 1, 1);
    let second = three.batch(Some(first.header.point()), 1, 2);
    let mut closed = Vector::default();
    closed.set(device(2), first.header.point());
    let members = [(device(1), Role::Coach), (device(2), Role::Parent)];
    let epoch = three
        .signing()
        .new_epoch(&members, closed, &mut Chance::of(5))
        .unwrap();
    let before = three.membership.clone();
    three.append(epoch.entry);

    assert!(received(&three, &first.bytes, None).is_ok());
    let stale = Error::StaleEpoch {
        epoch: 1,
        present: 2,
    };
    let tip = Some(first.header.point());
    assert_eq!(received(&three, &second.bytes, tip), Err(stale));

    // The author seals it again: other bytes, the same content.
    let parent = three.device(&three.parent);
    let again = parent.reseal(&second.bytes, &mut Chance::of(6)).unwrap();
    assert_eq!(header(&again).content, second.header.content);
    assert_eq!(received(&three, &again, tip), Ok(hitters(1, 2)));
    // Whoever has not heard of the new epoch cannot judge it.
    let sealed = Sealed::read(&again).unwrap();
    let unknown = Error::UnknownEpoch {
        epoch: 2,
        present: 1,
    };
    assert_eq!(before.check_batch(&sealed), Err(unknown));
    // Taken off, the reader has no key of the new epoch.
    assert_eq!(three.reader.keys.get(2).err(), Some(Error::NoKey(2)));
    assert_eq!(
        three.device(&three.reader).receive(&again, tip, None),
        Err(Error::NoKey(2))
    );
}

#[test]
fn the_same_entry_with_another_content_is_a_clash() {
    let three = Three::of(1);
    let one = three.batch(None, 2, 1);
    let clone = three.batch(None, 2, 2);
    let held = Held {
        content: one.header.content,
        epoch: 1,
    };
    let device_two = three.device(&three.owner);
    let clash = |number| Error::Clash {
        device: device(2),
        number,
    };
    let tip = Some(one.header.point());
    assert_eq!(
        device_two.receive(&clone.bytes, tip, Some(held)),
        Err(clash(1))
    );
    assert_eq!(device_two.receive(&clone.bytes, tip, None), Err(clash(2)));
    // Also when it goes on from other entries.
    let next = three.batch(Some(clone.header.point()), 1, 3);
    assert_eq!(device_two.receive(&next.bytes, tip, None), Err(clash(2)));
}

#[test]
fn a_batch_whose_content_is_not_what_its_header_says_is_refused() {
    let three = Three::of(1);
    let next = notebook::sync::batch::NextBatch {
        notebook: three.membership.id(),
        epoch: 1,
        tip: None,
        last: 3,
    };
    // Signed by a member, but with one change where the header says three.
    let content = [vec![0; 16], serde_json::to_vec(&hitters(1, 1)).unwrap()].concat();
    let (secret, keys) = (&three.parent.secret, &three.parent.keys);
    let mut chance = Chance::of(1);
    let (_, bytes) =
        notebook::sync::batch::seal(secret, keys, &next, &content, &mut chance).unwrap();
    let range = Error::Range { first: 1, last: 3 };
    assert_eq!(received(&three, &bytes, None), Err(range));
    let (_, bytes) =
        notebook::sync::batch::seal(secret, keys, &next, &[0; 40], &mut chance).unwrap();
    assert!(matches!(
        received(&three, &bytes, None),
        Err(Error::Unreadable(_))
    ));
}

fn snapshot_of(three: &Three, vector: &Vector) -> snapshot::Snapshot {
    let (secret, keys) = (&three.owner.secret, &three.owner.keys);
    let records = hitters(2, 1);
    let mut chance = Chance::of(3);
    snapshot::make(
        secret,
        &three.membership,
        keys,
        vector,
        records,
        &mut chance,
    )
    .unwrap()
}

#[test]
fn a_snapshot_holds_the_records_and_one_by_another_than_the_owner_is_refused() {
    let three = Three::of(1);
    let mut vector = Vector::default();
    vector.set(device(2), three.batch(None, 2, 1).header.point());
    let made = snapshot_of(&three, &vector);
    let manifest = Manifest::read(&made.manifest).unwrap();
    manifest.check(&three.membership).unwrap();
    let records = manifest
        .open_part(0, &made.parts[0], &three.reader.keys)
        .unwrap();
    assert_eq!(records, hitters(2, 1));

    let (secret, keys) = (&three.parent.secret, &three.parent.keys);
    let forged = snapshot::make(
        secret,
        &three.membership,
        keys,
        &vector,
        [],
        &mut Chance::of(3),
    );
    assert_eq!(
        forged.err(),
        Some(Error::NotOwner(device(2))),
        "it refuses itself"
    );
    // The parent's own log, in which it is the owner, makes it a manifest.
    let mut own = three.membership.clone();
    own.append(&three.signing().hand_over(device(2)).unwrap())
        .unwrap();
    let forged = snapshot::make(secret, &own, keys, &vector, [], &mut Chance::of(3)).unwrap();
    let manifest = Manifest::read(&forged.manifest).unwrap();
    let gap = Error::MembershipGap { next: 3 };
    assert_eq!(manifest.check(&three.membership), Err(gap));
}

#[test]
fn a_snapshot_with_other_chains_or_parts_is_refused() {
    let three = Three::of(1);
    let here = three.batch(None, 2, 1).header.point();
    let mut vector = Vector::default();
    let hash = Hash::of(b"another chain");
    vector.set(device(2), Point { last: 2, hash });
    let made = snapshot_of(&three, &vector);
    let manifest = Manifest::read(&made.manifest).unwrap();
    let mut mine = Vector::default();
    mine.set(device(2), here);
    let mismatch = Error::SnapshotMismatch {
        device: device(2),
        number: 2,
    };
    assert_eq!(
        manifest.fits(device(1), &mine, |_, _| None),
        Err(mismatch.clone())
    );
    // Also where this device has gone on meanwhile, and still stores the batch.
    let next = three.batch(Some(here), 1, 2).header.point();
    mine.set(device(2), next);
    let held = |_: DeviceId, last| (last == 2).then_some(here.hash);
    assert_eq!(manifest.fits(device(1), &mine, held), Err(mismatch));

    let part = &made.parts[0];
    for bit in 0..part.len() * 8 {
        let mut flipped = part.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        let hash = Hash::of(&flipped);
        let opened = manifest.open_part(0, &flipped, &three.reader.keys);
        assert_eq!(opened, Err(Error::SnapshotPart(hash.to_string())));
    }
    let unlisted = manifest.open_part(1, part, &three.reader.keys);
    assert_eq!(
        unlisted,
        Err(Error::SnapshotPart(Hash::of(part).to_string()))
    );
}

#[test]
fn a_snapshot_that_knows_more_of_this_device_than_it_does_is_a_clash() {
    let three = Three::of(1);
    let mut vector = Vector::default();
    vector.set(device(2), three.batch(None, 2, 1).header.point());
    let made = snapshot_of(&three, &vector);
    let manifest = Manifest::read(&made.manifest).unwrap();
    let clash = Error::Clash {
        device: device(2),
        number: 2,
    };
    let fits = manifest.fits(device(2), &Vector::default(), |_, _| None);
    assert_eq!(fits, Err(clash));
}

#[test]
fn a_file_is_taken_whole_or_not_at_all() {
    let three = Three::of(1);
    let batch = three.batch(None, 2, 1).bytes;
    let messages: Vec<&[u8]> = three
        .entries
        .iter()
        .chain([&batch])
        .map(Vec::as_slice)
        .collect();
    let bytes = file::write(three.membership.id(), messages.iter().copied());
    let (notebook, read) = file::read(&bytes).unwrap();
    assert_eq!((notebook, read.len()), (three.membership.id(), 4));
    assert_eq!(read[3], file::Message::Batch(&batch));
    for length in 0..bytes.len() {
        assert!(file::read(&bytes[..length]).is_err(), "{length} bytes");
    }
    for bit in 0..bytes.len() * 8 {
        let mut flipped = bytes.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        assert!(file::read(&flipped).is_err(), "bit {bit}");
    }
}

#[test]
fn known_text_stands_in_no_sealed_byte() {
    let three = Three::of(1);
    let batch = three.batch(None, 20, 1).bytes;
    let mut vector = Vector::default();
    vector.set(device(2), header(&batch).point());
    let made = snapshot_of(&three, &vector);
    for bytes in [batch, made.manifest, made.parts.concat()] {
        for text in ["Ada", "hitters", "baseball", "head"] {
            let text = text.as_bytes();
            assert!(!bytes.windows(text.len()).any(|window| window == text));
        }
    }
}
