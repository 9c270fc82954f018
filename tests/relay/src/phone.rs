//! Phones with real keys: they seal, sign and ask as the app does, by the crate
//! `notebook`. What they seal is a text of the test's choosing.

use std::time::{SystemTime, UNIX_EPOCH};

use notebook::DeviceId;
use notebook::sync::batch::{NextBatch, seal};
use notebook::sync::exchange::{AnswerHead, AnswerReader, Piece, ReadRequest};
use notebook::sync::membership::{Signing, found};
use notebook::sync::request::Asked;
use notebook::sync::run::Run;
use notebook::sync::{
    DeviceSecret, Hash, Keys, Membership, Point, Role, Vector, acknowledgement, batch, snapshot,
};
use rand_chacha::ChaCha12Rng;
use rand_core::{Rng, SeedableRng};

use crate::client::{Answer, Ask, Client};

/// One phone's part of one notebook.
pub struct Phone {
    /// Its keys.
    pub secret: DeviceSecret,
    /// The notebook's keys.
    pub keys: Keys,
    /// The membership log, checked.
    pub membership: Membership,
    /// The entries of that log.
    pub log: Vec<Vec<u8>>,
    /// The end of its own batches.
    pub tip: Option<Point>,
    rng: ChaCha12Rng,
}

/// What a phone has read.
#[derive(Debug)]
pub struct Read {
    /// What stands before the batches.
    pub head: AnswerHead,
    /// The batches.
    pub batches: Vec<Vec<u8>>,
}

impl Phone {
    /// A coach's phone that begins a notebook. Phones of different seeds differ.
    ///
    /// # Panics
    /// Never: a coach may begin one.
    #[must_use]
    pub fn founder(seed: u64) -> Self {
        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        let secret = draw(&mut rng);
        let (membership, entry, keys) = found(&secret, Role::Coach, &mut rng).expect("a coach");
        Self {
            secret,
            keys,
            membership,
            log: vec![entry],
            tip: None,
            rng,
        }
    }

    /// Another phone, let into this notebook in that role. Its entry is the last of
    /// both logs.
    ///
    /// # Panics
    /// When this phone is not the owner.
    pub fn admit(&mut self, role: Role, seed: u64) -> Self {
        let mut rng = ChaCha12Rng::seed_from_u64(seed);
        let secret = draw(&mut rng);
        let certificate = secret.certificate(role);
        let entry = self.signing(|signing, rng| signing.admit(certificate, rng).expect("admitted"));
        self.take_entry(entry);
        let mut keys = Keys::default();
        keys.learn(&self.membership, &secret).expect("a key");
        Self {
            secret,
            keys,
            membership: self.membership.clone(),
            log: self.log.clone(),
            tip: None,
            rng,
        }
    }

    /// The entry of a new epoch with these members, not taken into the own log yet.
    ///
    /// # Panics
    /// When this phone is not the owner.
    pub fn new_epoch(&mut self, members: &[(&Self, Role)], closed: Vector) -> Vec<u8> {
        let mut members: Vec<_> = members
            .iter()
            .map(|(phone, role)| (phone.device(), *role))
            .collect();
        members.push((self.device(), Role::Coach));
        self.signing(|signing, rng| {
            signing
                .new_epoch(&members, closed, rng)
                .expect("an epoch")
                .entry
        })
    }

    fn signing(&mut self, sign: impl FnOnce(&Signing, &mut ChaCha12Rng) -> Vec<u8>) -> Vec<u8> {
        let signing = Signing {
            membership: &self.membership,
            secret: &self.secret,
            keys: &self.keys,
        };
        sign(&signing, &mut self.rng)
    }

    /// Takes an entry into the own log, and the keys that it brings.
    ///
    /// # Panics
    /// When it does not follow.
    pub fn take_entry(&mut self, entry: Vec<u8>) {
        self.membership.append(&entry).expect("it follows");
        self.log.push(entry);
        self.keys
            .learn(&self.membership, &self.secret)
            .expect("the key opens");
    }

    /// Its device id.
    #[must_use]
    pub const fn device(&self) -> DeviceId {
        self.secret.device()
    }

    /// Seals one entry more that holds `text`. The tip moves on.
    ///
    /// # Panics
    /// When it is too long.
    pub fn seal(&mut self, text: &str) -> Vec<u8> {
        self.seal_many(1, text)
    }

    /// Seals that many entries more in one batch.
    ///
    /// # Panics
    /// When they are too long.
    pub fn seal_many(&mut self, entries: u32, text: &str) -> Vec<u8> {
        let mut content = vec![0; 16];
        self.rng.fill_bytes(&mut content);
        content.extend(text.as_bytes());
        let place = NextBatch {
            notebook: self.membership.id(),
            epoch: self.membership.epoch(),
            tip: self.tip,
            last: self.tip.map_or(0, |tip| tip.last) + entries,
        };
        let sealed = seal(&self.secret, &self.keys, &place, &content, &mut self.rng);
        let (header, bytes) = sealed.expect("it fits");
        self.tip = Some(header.point());
        bytes
    }

    /// Seals an own batch again for the present epoch.
    ///
    /// # Panics
    /// When it is not its own.
    pub fn reseal(&mut self, bytes: &[u8]) -> Vec<u8> {
        let epoch = self.membership.epoch();
        batch::reseal(&self.secret, &self.keys, bytes, epoch, &mut self.rng).expect("its own")
    }

    /// The path of something of its notebook.
    #[must_use]
    pub fn path(&self, rest: &str) -> String {
        format!("/v1/notebooks/{}/{rest}", self.membership.id())
    }

    /// Brings all entries of the log. Each must be new.
    ///
    /// # Panics
    /// When one is refused.
    pub fn bring_log(&self, client: &mut Client) {
        let begun = post(client, "/v1/notebooks", &self.log[0]);
        assert_eq!(begun.status, 201, "{begun:?}");
        for entry in &self.log[1..] {
            let answer = self.bring_entry(client, entry);
            assert_eq!(answer.status, 201, "{answer:?}");
        }
    }

    /// Brings an entry of the log.
    pub fn bring_entry(&self, client: &mut Client, entry: &[u8]) -> Answer {
        post(client, &self.path("membership"), entry)
    }

    /// Brings a batch.
    pub fn bring(&self, client: &mut Client, sealed: &[u8]) -> Answer {
        post(client, &self.path("batches"), sealed)
    }

    /// Brings a run of batches.
    pub fn bring_run(&self, client: &mut Client, batches: &[Vec<u8>]) -> Answer {
        post(client, &self.path("runs"), &in_a_run(batches))
    }

    /// Seals a text and brings it. It must be new.
    ///
    /// # Panics
    /// When it is refused.
    pub fn write(&mut self, client: &mut Client, text: &str) -> Vec<u8> {
        let sealed = self.seal(text);
        let answer = self.bring(client, &sealed);
        assert_eq!(answer.status, 201, "{answer:?}");
        sealed
    }

    /// Says that it has stored all within the vector.
    pub fn acknowledge(&self, client: &mut Client, vector: &Vector) -> Answer {
        let signed = acknowledgement::sign(&self.secret, self.membership.id(), vector);
        put(client, &self.path("acknowledgement"), &signed)
    }

    /// A snapshot of nothing at a vector.
    ///
    /// # Panics
    /// When this phone is not the owner.
    pub fn snapshot(&mut self, vector: &Vector) -> snapshot::Snapshot {
        let (secret, log, keys) = (&self.secret, &self.membership, &self.keys);
        snapshot::make(secret, log, keys, vector, [], &mut self.rng).expect("the owner")
    }

    /// Asks with a signature of now.
    pub fn ask(&self, client: &mut Client, method: &str, target: &str, body: &[u8]) -> Answer {
        let authorization = self.authorization(method, target, body, now_s());
        let headers = [("authorization", authorization.as_str())];
        client.ask(&Ask {
            method,
            target,
            headers: &headers,
            body,
        })
    }

    /// The signature of a request at a time.
    #[must_use]
    pub fn authorization(&self, method: &str, target: &str, body: &[u8], time_s: u64) -> String {
        let asked = Asked {
            method,
            path_and_query: target,
            body,
        };
        asked.sign(&self.secret, time_s)
    }

    /// Reads what lies beyond a vector; `query` such as `?wait=5`.
    ///
    /// # Panics
    /// When it is refused.
    pub fn read(&self, client: &mut Client, known: &Vector, query: &str) -> Read {
        let answer = self.try_read(client, known, query);
        assert_eq!(answer.status, 200, "{answer:?}");
        Read::parse(&answer.body)
    }

    /// Asks for what lies beyond a vector.
    pub fn try_read(&self, client: &mut Client, known: &Vector, query: &str) -> Answer {
        let request = ReadRequest {
            members: self.membership.len(),
            vector: known.clone(),
        };
        let target = self.path(&format!("read{query}"));
        self.ask(client, "POST", &target, &request.bytes())
    }

    /// What lies within an own vector of all that the relay has.
    ///
    /// # Panics
    /// When it is refused.
    pub fn heads(&self, client: &mut Client) -> Vector {
        self.read(client, &Vector::default(), "?limit=0").head.heads
    }
}

impl Read {
    /// From the body of an answer.
    ///
    /// # Panics
    /// When it is none.
    #[must_use]
    pub fn parse(body: &[u8]) -> Self {
        let (mut head, mut batches) = (None, Vec::new());
        for piece in AnswerReader::default().push(body).expect("pieces") {
            match piece {
                Piece::Head(found) => head = Some(found),
                Piece::Batch(batch) => batches.push(batch),
            }
        }
        Self {
            head: head.expect("a head"),
            batches,
        }
    }
}

/// The message that these batches make.
///
/// # Panics
/// When they are too many.
#[must_use]
pub fn in_a_run(batches: &[Vec<u8>]) -> Vec<u8> {
    let mut run = Run::default();
    for batch in batches {
        assert!(run.push(batch), "too many for a run");
    }
    run.bytes().to_vec()
}

fn draw(rng: &mut ChaCha12Rng) -> DeviceSecret {
    let mut id = [0; 16];
    rng.fill_bytes(&mut id);
    DeviceSecret::draw(DeviceId::from_bytes(id), rng)
}

/// Posts a body that carries its own signature.
pub fn post(client: &mut Client, target: &str, body: &[u8]) -> Answer {
    send(client, "POST", target, body)
}

/// Puts a body that carries its own signature.
pub fn put(client: &mut Client, target: &str, body: &[u8]) -> Answer {
    send(client, "PUT", target, body)
}

/// Asks without a signature.
pub fn send(client: &mut Client, method: &str, target: &str, body: &[u8]) -> Answer {
    client.ask(&Ask {
        method,
        target,
        headers: &[],
        body,
    })
}

/// Now, in seconds since 1970.
///
/// # Panics
/// When the clock is before 1970.
#[must_use]
pub fn now_s() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .expect("after 1970")
        .as_secs()
}

/// The vector of all that these phones have written.
#[must_use]
pub fn vector_of(phones: &[&Phone]) -> Vector {
    let mut vector = Vector::default();
    for phone in phones {
        if let Some(tip) = phone.tip {
            vector.set(phone.device(), tip);
        }
    }
    vector
}

/// The hash of bytes, as it stands in an address.
#[must_use]
pub fn hash_text(bytes: &[u8]) -> String {
    Hash::of(bytes).to_string()
}
