//! The relay is killed with SIGKILL again and again while phones write. What it has
//! acknowledged is there afterwards, byte for byte.
//!
//! `STRIDEBOOK_KILLS` sets how often, 200 unless said.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use notebook::sync::exchange::Then;
use notebook::sync::{Role, Vector, batch};
use relay_tests::{Client, Phone, Relay, Store};

/// Far longer than all of it takes.
const PATIENCE: Duration = Duration::from_secs(600);

/// Phones that write, all at once.
const PHONES: u64 = 4;

struct Writer {
    phone: Phone,
    /// Sealed, and not acknowledged when the relay was killed: brought again.
    in_flight: Option<Vec<u8>>,
    acknowledged: Vec<Vec<u8>>,
}

impl Writer {
    /// Writes until the relay is gone.
    fn write(&mut self, mut client: Client, taken: &AtomicUsize) {
        loop {
            let sealed = self
                .in_flight
                .take()
                .unwrap_or_else(|| self.phone.seal("one more"));
            let target = self.phone.path("batches");
            let ask = relay_tests::client::Ask {
                method: "POST",
                target: &target,
                headers: &[],
                body: &sealed,
            };
            match client.try_ask(&ask) {
                Ok(answer) => {
                    assert!(matches!(answer.status, 200 | 201), "{answer:?}");
                    self.acknowledged.push(sealed);
                    taken.fetch_add(1, Ordering::Relaxed);
                }
                Err(_) => {
                    self.in_flight = Some(sealed);
                    return;
                }
            }
        }
    }
}

#[test]
fn no_acknowledged_batch_is_lost_by_kills_on_sqlite() {
    kill_again_and_again(&Store::sqlite());
}

#[test]
fn no_acknowledged_batch_is_lost_by_kills_on_postgres() {
    kill_again_and_again(&Store::postgres());
}

fn kill_again_and_again(store: &Store) {
    let kills: u32 =
        std::env::var("STRIDEBOOK_KILLS").map_or(200, |text| text.parse().expect("a number"));
    let arguments = [
        "--address-rate",
        "100000000",
        "--notebook-rate",
        "100000000",
    ];
    let mut coach = Phone::founder(1);
    let mut writers: Vec<Writer> = (0..PHONES)
        .map(|n| Writer {
            phone: coach.admit(Role::Player, 10 + n),
            in_flight: None,
            acknowledged: Vec::new(),
        })
        .collect();
    let mut relay = Relay::start(store, &arguments);
    coach.bring_log(&mut relay.client());
    let begun = Instant::now();
    for round in 0..kills {
        let address = relay.address();
        let taken = AtomicUsize::new(0);
        std::thread::scope(|scope| {
            for writer in &mut writers {
                let taken = &taken;
                scope.spawn(move || writer.write(Client::unchecked(address), taken));
            }
            // So that every kill meets a relay at work, on a slow machine too; then
            // up to 40 ms more, another time each round.
            while taken.load(Ordering::Relaxed) < PHONES as usize {
                assert!(begun.elapsed() < PATIENCE, "the relay takes nothing");
                std::thread::sleep(Duration::from_millis(1));
            }
            std::thread::sleep(Duration::from_millis(u64::from(round * 17 % 41)));
            relay.kill();
        });
        relay = Relay::start(store, &arguments);
        let heads = coach.heads(&mut relay.client());
        for writer in &writers {
            let acknowledged = writer.acknowledged.len();
            let held = heads.last(writer.phone.device());
            let (least, most) = (acknowledged as u32, acknowledged as u32 + 1);
            assert!(
                (least..=most).contains(&held),
                "kill {round}: {held} held of {acknowledged} acknowledged"
            );
        }
    }
    let stored = all(&coach, &mut relay.client());
    let acknowledged: Vec<&Vec<u8>> = writers
        .iter()
        .flat_map(|writer| &writer.acknowledged)
        .collect();
    let lost = acknowledged
        .iter()
        .filter(|sealed| !stored.contains(**sealed))
        .count();
    println!(
        "kills={kills} acknowledged={} lost={lost} seconds={:.0}",
        acknowledged.len(),
        begun.elapsed().as_secs_f64()
    );
    assert_eq!(lost, 0);
}

/// Every batch that the relay holds.
fn all(phone: &Phone, client: &mut Client) -> BTreeSet<Vec<u8>> {
    let (mut known, mut all) = (Vector::default(), BTreeSet::new());
    loop {
        let read = phone.read(client, &known, "");
        for sealed in read.batches {
            let header = batch::Sealed::read(&sealed).expect("a batch").header;
            known.set(header.device, header.point());
            all.insert(sealed);
        }
        if read.head.then == Then::Nothing {
            return all;
        }
    }
}
