//! Passes, words, fingerprints, and the club's list of notebooks.

use devices::chance::Chance;
use devices::club_of_three::Three;
use devices::samples::device;
use devices::time::{set_wall_s, wall};
use notebook::StampClock;
use notebook::sync::club::Club;
use notebook::sync::passes::{self, Mailboxes, Pass};
use notebook::sync::words::{Words, digits, six_words};
use notebook::sync::{DeviceSecret, Error, NotebookKey, Role};

const NOW_S: u64 = 1_750_000_000;

fn pass(three: &Three) -> Pass {
    Pass {
        notebook: three.membership.id(),
        role: Role::Player,
        owner: three.owner.secret.certificate(Role::Coach),
        expires_s: NOW_S + 3600,
    }
}

fn new_phone() -> DeviceSecret {
    DeviceSecret::draw(device(8), &mut Chance::of(8))
}

#[test]
fn a_pass_goes_by_twelve_words_and_its_answer_comes_back() {
    let three = Three::of(1);
    let words = Words::draw(&mut Chance::of(2));
    let mine = Mailboxes::of(&words);
    let lies_there = mine.pass.seal(&pass(&three).bytes(), &mut Chance::of(3));

    // The new phone: the words as typed.
    let typed = format!("  {} ", words.text().to_uppercase());
    let theirs = Mailboxes::of(&Words::read(&typed).unwrap());
    assert_eq!(theirs.pass.name, mine.pass.name);
    let opened = theirs.pass.open(&lies_there).unwrap();
    assert_eq!(Pass::read(&opened, NOW_S), Ok(pass(&three)));
    assert_eq!(Pass::read(&opened, NOW_S + 3600), Err(Error::Expired));
    let request = passes::request(&new_phone(), Role::Player);
    let answer = theirs.request.seal(&request, &mut Chance::of(4));

    // The owner compares what both screens show, and admits.
    let certificate = passes::read_request(&mine.request.open(&answer).unwrap()).unwrap();
    let shown = new_phone().certificate(Role::Player).fingerprint();
    assert_eq!(certificate.fingerprint(), shown);
    assert!(
        three
            .signing()
            .admit(certificate, &mut Chance::of(5))
            .is_ok()
    );
}

#[test]
fn other_words_lead_to_other_mailboxes_and_open_nothing() {
    let [mine, other] = [2, 3].map(|n| Mailboxes::of(&Words::draw(&mut Chance::of(n))));
    assert_ne!(mine.pass.name, other.pass.name);
    assert_ne!(mine.pass.name, mine.request.name);
    let sealed = mine.pass.seal(b"pass", &mut Chance::of(3));
    assert_eq!(other.pass.open(&sealed), Err(Error::Damaged));
    assert_eq!(mine.request.open(&sealed), Err(Error::Damaged));
    assert_eq!(mine.pass.open(&sealed[..20]), Err(Error::Cut));
    for bit in 0..sealed.len() * 8 {
        let mut flipped = sealed.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        assert_eq!(mine.pass.open(&flipped), Err(Error::Damaged));
    }
}

#[test]
fn a_pass_shown_as_a_code_opens_on_the_phone_it_was_made_for_alone() {
    let three = Three::of(1);
    let phone = new_phone();
    let request = passes::read_request(&passes::request(&phone, Role::Player)).unwrap();
    let shown = pass(&three).seal_to(&request, &mut Chance::of(6)).unwrap();
    assert!(shown.len() < 200, "{} bytes: a small code", shown.len());
    assert_eq!(Pass::open(&phone, &shown, NOW_S), Ok(pass(&three)));
    let other = DeviceSecret::draw(device(9), &mut Chance::of(9));
    assert_eq!(Pass::open(&other, &shown, NOW_S), Err(Error::Damaged));
}

#[test]
fn a_request_that_is_not_signed_with_its_own_key_is_refused() {
    let request = passes::request(&new_phone(), Role::Player);
    assert_eq!(request.len(), 149, "a small code");
    for bit in 0..request.len() * 8 {
        let mut flipped = request.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        assert!(passes::read_request(&flipped).is_err(), "bit {bit}");
    }
}

#[test]
fn slips_in_typed_words_are_told_apart() {
    let good = "legal winner thank year wave sausage worth useful legal winner thank yellow";
    assert!(Words::read(good).is_ok());
    let told = |text: &str| Words::read(text).err().unwrap();
    let count = Error::WordCount {
        expected: 12,
        found: 11,
    };
    assert_eq!(told(good.trim_end_matches(" yellow")), count);
    assert_eq!(
        told(&good.replace("thank", "thankz")),
        Error::UnknownWord(3)
    );
    assert_eq!(
        told(&good.replacen("winner", "window", 1)),
        Error::WordsDoNotFit
    );
    assert_eq!(
        told(&good.replacen("legal winner", "winner legal", 1)),
        Error::WordsDoNotFit
    );
}

#[test]
fn fingerprints_are_short_to_compare_and_differ_with_every_key() {
    let one = new_phone().certificate(Role::Player);
    let shown = digits(&one.fingerprint());
    assert_eq!(shown.split(' ').map(str::len).collect::<Vec<_>>(), [5; 4]);
    assert!(shown.chars().all(|c| c.is_ascii_digit() || c == ' '));
    assert_eq!(six_words(&one.fingerprint()).len(), 6);
    // The role is the owner's word and not the phone's.
    let as_coach = new_phone().certificate(Role::Coach);
    assert_eq!(as_coach.fingerprint(), one.fingerprint());
    let mut other = one;
    other.receiving[0] ^= 1;
    assert_ne!(digits(&other.fingerprint()), shown);
    assert_ne!(
        six_words(&other.fingerprint()),
        six_words(&one.fingerprint())
    );
}

#[test]
fn the_club_lists_notebooks_with_keys_that_only_its_members_open() {
    set_wall_s(NOW_S);
    let clock = StampClock::start(device(1), wall, None);
    let (club, hitters, other) = (Three::of(1), Three::of(2), Three::of(3));
    let key = hitters.owner.keys.get(1).unwrap();
    let owners_club = Club {
        id: club.membership.id(),
        keys: &club.owner.keys,
        epoch: 1,
    };
    let mut chance = Chance::of(4);
    let mut listed = owners_club
        .list(hitters.membership.id(), 1, key, &clock, &mut chance)
        .unwrap();
    let json = serde_json::to_string(&listed).unwrap();
    assert_eq!(
        serde_json::from_str::<notebook::sync::club::Listed>(&json).unwrap(),
        listed
    );

    let coach = Club {
        keys: &club.parent.keys,
        ..owners_club
    };
    let opened = coach
        .open(&listed)
        .map(|(id, epoch, key)| (id, epoch, *key.as_bytes()));
    assert_eq!(opened, Ok((hitters.membership.id(), 1, *key.as_bytes())));
    let outsider = Club {
        keys: &other.owner.keys,
        ..coach
    };
    assert_eq!(outsider.open(&listed).err(), Some(Error::Damaged));

    // A new epoch of the listed notebook is an edit of the key.
    let next = NotebookKey::draw(&mut chance);
    let text = coach
        .wrap(hitters.membership.id(), 2, &next, &mut chance)
        .unwrap();
    assert!(listed.key.set(text, &clock));
    let (_, epoch, key) = coach.open(&listed).unwrap();
    assert_eq!((epoch, key.as_bytes()), (2, next.as_bytes()));
    listed.notebook = other.membership.id().to_string();
    assert_eq!(
        coach.open(&listed).err(),
        Some(Error::Damaged),
        "bound to its notebook"
    );
}
