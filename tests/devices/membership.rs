//! The membership log: what the owner may do, what nobody else may, and that
//! forged, reordered or forked logs are refused.

use devices::chance::Chance;
use devices::club_of_three::{Three, hitters};
use devices::samples::device;
use notebook::sync::membership::{Appended, Signing, found};
use notebook::sync::request::{Asked, Claim, TIME_OFF_S};
use notebook::sync::words::Words;
use notebook::sync::{DeviceSecret, Error, Keys, Membership, NotebookId, Role, Vector, recovery};

#[test]
fn a_log_is_replayed_from_its_entries_and_is_bound_to_its_first_one() {
    let three = Three::of(1);
    let replayed = Membership::replay(three.membership.id(), &three.entries).unwrap();
    assert_eq!(
        (replayed.len(), replayed.epoch(), replayed.owner()),
        (3, 1, device(1))
    );
    let roles: Vec<Role> = replayed.members().map(|member| member.role).collect();
    assert_eq!(roles, [Role::Coach, Role::Parent, Role::ReadOnly]);
    let other = Three::of(2);
    let foreign = Membership::replay(three.membership.id(), &other.entries);
    assert_eq!(foreign.err(), Some(Error::WrongNotebook));
}

#[test]
fn a_reordered_shortened_or_repeated_log_is_refused_or_known() {
    let three = Three::of(1);
    let [first, second, third] = [&three.entries[0], &three.entries[1], &three.entries[2]];
    let replay = |entries: &[&Vec<u8>]| Membership::replay(three.membership.id(), entries);
    let gap = Error::MembershipGap { next: 1 };
    assert_eq!(replay(&[first, third, second]).err(), Some(gap.clone()));
    assert_eq!(replay(&[first, third]).err(), Some(gap));
    assert_eq!(
        replay(&[second]).err(),
        Some(Error::MembershipGap { next: 0 })
    );
    let mut log = three.membership.clone();
    assert_eq!(log.append(second), Ok(Appended::Known));
    assert_eq!(log.len(), 3);
}

#[test]
fn no_flipped_bit_of_a_log_goes_unseen() {
    let mut three = Three::of(1);
    let members = [(device(1), Role::Coach), (device(2), Role::Player)];
    let epoch = three
        .signing()
        .new_epoch(&members, Vector::default(), &mut Chance::of(5));
    three.append(epoch.unwrap().entry);
    for (at, entry) in three.entries.iter().enumerate() {
        for bit in 0..entry.len() * 8 {
            let mut entries = three.entries.clone();
            entries[at][bit / 8] ^= 1 << (bit % 8);
            let replayed = Membership::replay(three.membership.id(), &entries);
            assert!(replayed.is_err(), "entry {at}, bit {bit}");
        }
    }
}

#[test]
fn a_log_that_parts_from_the_known_one_is_a_fork() {
    let three = Three::of(1);
    let mut before = Membership::found(&three.entries[0]).unwrap();
    let signing = Signing {
        membership: &before.clone(),
        ..three.signing()
    };
    let stranger = DeviceSecret::draw(device(8), &mut Chance::of(8));
    let other = signing
        .admit(stranger.certificate(Role::Coach), &mut Chance::of(9))
        .unwrap();
    before.append(&other).unwrap();
    let fork = Error::MembershipFork { number: 1 };
    assert_eq!(before.append(&three.entries[1]), Err(fork.clone()));
    // And what builds on it does not fit.
    let fork_later = Error::MembershipFork { number: 2 };
    assert_eq!(before.append(&three.entries[2]), Err(fork_later));
    assert_eq!(three.membership.clone().append(&other), Err(fork));
}

#[test]
fn only_the_owner_changes_the_membership() {
    let three = Three::of(1);
    let parent = Signing {
        secret: &three.parent.secret,
        keys: &three.parent.keys,
        membership: &three.membership,
    };
    let stranger = DeviceSecret::draw(device(8), &mut Chance::of(8));
    let certificate = stranger.certificate(Role::Coach);
    let forged = parent.admit(certificate, &mut Chance::of(9));
    assert_eq!(forged, Err(Error::NotOwner(device(2))));
    assert_eq!(parent.hand_over(device(2)), Err(Error::NotOwner(device(2))));
    let stranger = Signing {
        secret: &stranger,
        ..parent
    };
    assert_eq!(
        stranger.hand_over(device(2)),
        Err(Error::NotCertified(device(8)))
    );
    // Somebody else's keys under the owner's name.
    let mut keys = [0; 64];
    keys.copy_from_slice(&[7; 64]);
    let posing = DeviceSecret::from_bytes(device(1), &keys);
    let posing = Signing {
        secret: &posing,
        ..three.signing()
    };
    assert_eq!(posing.hand_over(device(2)), Err(Error::Signature));
}

#[test]
fn ownership_is_handed_over_when_a_parent_changes_phones() {
    let mut three = Three::of(1);
    let new_phone = DeviceSecret::draw(device(8), &mut Chance::of(8));
    let admit = three
        .signing()
        .admit(new_phone.certificate(Role::Parent), &mut Chance::of(9));
    three.append(admit.unwrap());
    let hand_over = three.signing().hand_over(device(8)).unwrap();
    three.append(hand_over);
    assert_eq!(three.membership.owner(), device(8));
    assert_eq!(
        three.membership.owner_at(4),
        Some(device(1)),
        "before, it was the other one"
    );
    assert_eq!(
        three.signing().hand_over(device(1)),
        Err(Error::NotOwner(device(1)))
    );

    let mut keys = Keys::default();
    keys.learn(&three.membership, &new_phone).unwrap();
    let signing = Signing {
        membership: &three.membership,
        secret: &new_phone,
        keys: &keys,
    };
    let members = [(device(2), Role::Parent), (device(8), Role::Parent)];
    let epoch = signing
        .new_epoch(&members, Vector::default(), &mut Chance::of(10))
        .unwrap();
    three.append(epoch.entry);
    assert!(
        three.membership.device(device(1)).is_none(),
        "the old phone is off"
    );
}

#[test]
fn only_members_who_may_write_can_become_the_owner() {
    let three = Three::of(1);
    let forbidden = Error::RoleForbids {
        device: device(3),
        role: Role::ReadOnly,
    };
    assert_eq!(three.signing().hand_over(device(3)), Err(forbidden));
    assert_eq!(
        three.signing().hand_over(device(9)),
        Err(Error::NotCertified(device(9)))
    );
}

#[test]
fn a_role_holds_from_its_epoch_on() {
    let mut three = Three::of(1);
    let written = three.batch(None, 1, 1);
    let mut closed = Vector::default();
    closed.set(device(2), written.header.point());
    let members = [(device(1), Role::Coach), (device(2), Role::ReadOnly)];
    let epoch = three
        .signing()
        .new_epoch(&members, closed, &mut Chance::of(5))
        .unwrap();
    three.append(epoch.entry);
    assert_eq!(three.membership.role(device(2), 1), Some(Role::Parent));
    assert_eq!(three.membership.role(device(2), 2), Some(Role::ReadOnly));
    // What it wrote as a parent counts, what it writes now does not.
    assert!(
        three
            .device(&three.owner)
            .receive(&written.bytes, None, None)
            .is_ok()
    );
    let tip = Some(written.header.point());
    let now = three
        .device(&three.parent)
        .seal(tip, &hitters(1, 2), &mut Chance::of(6));
    assert!(matches!(now, Err(Error::RoleForbids { .. })));
}

#[test]
fn a_new_epoch_keeps_its_owner_and_takes_nothing_back() {
    let mut three = Three::of(1);
    let mut chance = Chance::of(5);
    let epoch = |three: &Three, members: &[_], closed: &Vector, chance: &mut Chance| {
        three
            .signing()
            .new_epoch(members, closed.clone(), chance)
            .map(|epoch| epoch.entry)
    };
    let coach = (device(1), Role::Coach);
    let mut closed = Vector::default();
    let without_owner = epoch(&three, &[(device(2), Role::Parent)], &closed, &mut chance);
    assert_eq!(without_owner, Err(Error::MembersOfEpoch));
    let with_stranger = epoch(
        &three,
        &[coach, (device(9), Role::Coach)],
        &closed,
        &mut chance,
    );
    assert_eq!(with_stranger, Err(Error::NotCertified(device(9))));
    closed.set(device(2), three.batch(None, 2, 1).header.point());
    let entry = epoch(
        &three,
        &[coach, (device(2), Role::Parent)],
        &closed,
        &mut chance,
    )
    .unwrap();
    three.append(entry);
    let back = epoch(&three, &[coach], &Vector::default(), &mut chance);
    assert_eq!(back, Err(Error::ClosedGoesBack));
}

#[test]
fn a_device_that_was_taken_off_reads_nothing_new_and_everybody_else_everything() {
    let mut three = Three::of(1);
    let members = [(device(1), Role::Coach), (device(2), Role::Parent)];
    for number in 5..8 {
        let epoch = three
            .signing()
            .new_epoch(&members, Vector::default(), &mut Chance::of(number));
        three.append(epoch.unwrap().entry);
    }
    assert_eq!(three.membership.epoch(), 4);
    for epoch in 2..=4 {
        assert!(three.parent.keys.get(epoch).is_ok());
        assert_eq!(
            three.reader.keys.get(epoch).err(),
            Some(Error::NoKey(epoch))
        );
    }
    // One who joins now gets one key, and by it those of all epochs before.
    let late = DeviceSecret::draw(device(8), &mut Chance::of(8));
    let admit = three
        .signing()
        .admit(late.certificate(Role::Player), &mut Chance::of(9));
    three.append(admit.unwrap());
    let mut keys = Keys::default();
    keys.learn(&three.membership, &late).unwrap();
    for epoch in 1..=4 {
        let founders = three.owner.keys.get(epoch).unwrap().as_bytes();
        assert_eq!(
            keys.get(epoch).unwrap().as_bytes(),
            founders,
            "epoch {epoch}"
        );
    }
}

#[test]
fn a_device_is_not_admitted_twice_nor_with_other_keys() {
    let mut three = Three::of(1);
    let twice = three.parent.secret.certificate(Role::Coach);
    let admitted = three.signing().admit(twice, &mut Chance::of(9));
    assert_eq!(admitted, Err(Error::AlreadyMember(device(2))));
    let members = [(device(1), Role::Coach)];
    let epoch = three
        .signing()
        .new_epoch(&members, Vector::default(), &mut Chance::of(5));
    three.append(epoch.unwrap().entry);
    let other = DeviceSecret::draw(device(2), &mut Chance::of(77)).certificate(Role::Parent);
    let admitted = three.signing().admit(other, &mut Chance::of(9));
    assert_eq!(admitted, Err(Error::OtherKeys(device(2))));
    let same = three.parent.secret.certificate(Role::Player);
    let again = three.signing().admit(same, &mut Chance::of(9)).unwrap();
    three.append(again);
    assert_eq!(three.membership.role(device(2), 2), Some(Role::Player));
}

#[test]
fn a_notebook_cannot_be_founded_by_one_who_may_not_write() {
    let secret = DeviceSecret::draw(device(1), &mut Chance::of(1));
    for role in [Role::ReadOnly, Role::Recovery] {
        let founded = found(&secret, role, &mut Chance::of(1));
        assert_eq!(founded.err(), Some(Error::NotOwner(device(1))));
    }
}

#[test]
fn a_lost_owner_is_replaced_by_the_recovery_sheet() {
    let mut three = Three::of(1);
    let words = Words::draw(&mut Chance::of(3));
    let sheet = recovery::sheet(&words);
    let admit = three
        .signing()
        .admit(sheet.certificate(Role::Recovery), &mut Chance::of(9));
    three.append(admit.unwrap());
    // The sheet stays through a new epoch, and cannot become a writer.
    let as_coach = [(device(1), Role::Coach), (sheet.device(), Role::Coach)];
    let refused = three
        .signing()
        .new_epoch(&as_coach, Vector::default(), &mut Chance::of(5));
    assert_eq!(refused.err(), Some(Error::MembersOfEpoch));
    let members = [(device(1), Role::Coach), (sheet.device(), Role::Recovery)];
    let epoch = three
        .signing()
        .new_epoch(&members, Vector::default(), &mut Chance::of(5));
    three.append(epoch.unwrap().entry);

    // Years later: the words, and a new phone.
    let sheet = recovery::sheet(&Words::read(&words.text()).unwrap());
    let phone = DeviceSecret::draw(device(8), &mut Chance::of(8));
    let certificate = phone.certificate(Role::Parent);
    let entries =
        recovery::recover(&sheet, &three.membership, certificate, &mut Chance::of(10)).unwrap();
    entries.into_iter().for_each(|entry| three.append(entry));
    assert_eq!(three.membership.owner(), device(8));
    let mut keys = Keys::default();
    keys.learn(&three.membership, &phone).unwrap();
    assert!(
        (1..=2).all(|epoch| keys.get(epoch).is_ok()),
        "it reads all there is"
    );

    let other = recovery::sheet(&Words::draw(&mut Chance::of(4)));
    let wrong = recovery::recover(&other, &three.membership, certificate, &mut Chance::of(10));
    assert_eq!(wrong.err(), Some(Error::NotCertified(other.device())));
}

#[test]
fn a_signed_request_is_good_for_one_question_of_a_member_at_one_time() {
    let three = Three::of(1);
    let asked = Asked {
        method: "POST",
        path_and_query: "/v1/notebooks/abc/read?limit=1000",
        body: b"vector",
    };
    let now_s = 1_750_000_000;
    let header = asked.sign(&three.reader.secret, now_s);
    let claim = Claim::read(&header).unwrap();
    let check = |asked: &Asked, now_s| claim.check(&three.membership, asked, now_s);
    assert_eq!(check(&asked, now_s + TIME_OFF_S), Ok(device(3)));
    assert_eq!(
        check(&asked, now_s + TIME_OFF_S + 1),
        Err(Error::RequestTime)
    );
    assert_eq!(
        check(&asked, now_s - TIME_OFF_S - 1),
        Err(Error::RequestTime)
    );
    for other in [
        Asked {
            method: "GET",
            ..asked
        },
        Asked {
            path_and_query: "/v1/notebooks/abc/read?limit=9999",
            ..asked
        },
        Asked {
            body: b"another",
            ..asked
        },
    ] {
        assert_eq!(check(&other, now_s), Err(Error::Signature));
    }
    let stranger = DeviceSecret::draw(device(9), &mut Chance::of(9));
    let claim = Claim::read(&asked.sign(&stranger, now_s)).unwrap();
    let refused = claim.check(&three.membership, &asked, now_s);
    assert_eq!(refused, Err(Error::NotCertified(device(9))));
    for text in [
        "",
        "Basic abc",
        "Stridebook device=1, time=2, signature=3",
        &header[..80],
    ] {
        assert_eq!(Claim::read(text), Err(Error::RequestForm), "{text:?}");
    }
}

#[test]
fn ids_are_read_back_as_written() {
    let id = Three::of(1).membership.id();
    assert_eq!(id.to_string().parse(), Ok(id));
    for text in [
        "",
        "00",
        &"G0".repeat(32),
        &"A0".repeat(32),
        &"00".repeat(33),
    ] {
        assert_eq!(text.parse::<NotebookId>(), Err(Error::Hex), "{text:?}");
    }
}
