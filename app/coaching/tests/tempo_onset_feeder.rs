//! Contact by sound beside a machine: its wheels come and go, its ball's release is
//! a slow burst as strong as contact or stronger, and a clap is far weaker. Over
//! the whole window after the lift, in sound made here with known times.

mod tempo_chance;

use coaching::tempo::onset::{Calibration, Listener, Onset, Search};
use std::f64::consts::TAU;
use tempo_chance::Chance;

const RATE_HZ: f64 = 48_000.0;
const LIFT_S: f64 = 0.3;
const MACHINES: usize = 4;

fn samples(seconds: f64) -> usize {
    (seconds * RATE_HZ) as usize
}

/// Sound of power 1 over its first `over_s`.
fn of_power_1(mut sound: Vec<f64>, over_s: f64) -> Vec<f64> {
    let n = samples(over_s).min(sound.len()).max(1);
    let power = sound[..n].iter().map(|s| s * s).sum::<f64>() / n as f64;
    sound.iter_mut().for_each(|s| *s /= power.sqrt());
    sound
}

/// A crack: a few resonances of 1 to 5 kHz, each dying away in 2 to 8 ms (to one
/// e-th), some with a sharp start of noise.
fn crack(chance: &mut Chance) -> Vec<f64> {
    let count = 1 + (3.0 * chance.unit()) as usize;
    let parts: Vec<[f64; 4]> = (0..count)
        .map(|_| {
            [
                1_000.0 + 4_000.0 * chance.unit(),
                0.002 + 0.006 * chance.unit(),
                0.4 + 0.6 * chance.unit(),
                TAU * chance.unit(),
            ]
        })
        .collect();
    let sharp = if chance.unit() < 0.5 { 0.0 } else { 0.5 };
    let sound = (0..samples(0.04))
        .map(|n| {
            let t = n as f64 / RATE_HZ;
            let tone = |[hz, dies_s, loud, phase]: &[f64; 4]| {
                loud * (-t / dies_s).exp() * (TAU * hz * t + phase).sin()
            };
            let start = sharp * (-t / 0.001).exp() * chance.normal();
            parts.iter().map(tone).sum::<f64>() + start
        })
        .collect();
    of_power_1(sound, 0.01)
}

/// The ball leaves the wheels: rubber on leather, noise that swells over 15 to
/// 40 ms and fades over as long again.
fn release(chance: &mut Chance) -> Vec<f64> {
    let swells_s = 0.015 + 0.025 * chance.unit();
    let mut low = 0.0;
    let sound = (0..samples(2.0 * swells_s))
        .map(|n| {
            // Mostly below 2 kHz, by a simple low-pass.
            low += 0.25 * (chance.normal() - low);
            let share = n as f64 / RATE_HZ / swells_s;
            low * (0.5 * TAU * 0.5 * share).sin().powi(2)
        })
        .collect();
    of_power_1(sound, 2.0 * swells_s)
}

/// A clap, or a bat put down: noise that dies away.
fn clap(chance: &mut Chance) -> Vec<f64> {
    let sound = (0..samples(0.03))
        .map(|n| chance.normal() * (-(n as f64) / (0.006 * RATE_HZ)).exp())
        .collect();
    of_power_1(sound, 0.01)
}

/// A machine that hums with 40 harmonics; its strength comes and goes.
fn machine(n: usize, chance: &mut Chance) -> Vec<f64> {
    let hz = 25.0 + 60.0 * chance.unit();
    let (deep, beats_hz) = (0.8 * chance.unit(), 2.0 + 8.0 * chance.unit());
    let phases: Vec<f64> = (0..40).map(|_| TAU * chance.unit()).collect();
    let sound = (0..n)
        .map(|n| {
            let t = n as f64 / RATE_HZ;
            let tones = (1..)
                .zip(&phases)
                .map(|(k, phase)| (TAU * hz * f64::from(k) * t + phase).sin() / f64::from(k));
            tones.sum::<f64>() * (1.0 + deep * (TAU * beats_hz * t).sin())
        })
        .collect();
    of_power_1(sound, f64::MAX)
}

/// Noises of power 1 to take pieces of: white, pink and machine.
struct Noises(Vec<Vec<f64>>);

impl Noises {
    fn new(chance: &mut Chance) -> Self {
        let n = samples(10.0);
        let white: Vec<f64> = (0..n).map(|_| chance.normal()).collect();
        // Paul Kellet's filter, from memory.
        let mut pink = [0.0_f64; 3];
        let pinked = white
            .iter()
            .map(|white| {
                pink[0] = 0.997_65 * pink[0] + white * 0.099_046;
                pink[1] = 0.963 * pink[1] + white * 0.296_516_4;
                pink[2] = 0.57 * pink[2] + white * 1.052_691_3;
                pink.iter().sum::<f64>() + white * 0.184_8
            })
            .collect();
        let mut all = vec![of_power_1(white, 10.0), of_power_1(pinked, 10.0)];
        all.extend((0..MACHINES).map(|_| machine(n, chance)));
        Self(all)
    }

    /// A piece of power about 1: white or pink, with a machine by up to a half.
    fn piece(&self, seconds: f64, chance: &mut Chance) -> Vec<f64> {
        let n = samples(seconds);
        let base = usize::from(chance.unit() < 0.5);
        let other = 2 + (MACHINES as f64 * chance.unit()) as usize;
        let share = 0.5 * chance.unit();
        let mut from = |kind: usize| {
            let sound = &self.0[kind];
            let first = ((sound.len() - n) as f64 * chance.unit()) as usize;
            &sound[first..first + n]
        };
        let both = from(base).iter().zip(from(other));
        both.map(|(base, other)| (1.0 - share).sqrt() * base + share.sqrt() * other)
            .collect()
    }
}

fn add(to: &mut [f64], at_s: f64, sound: &[f64], times: f64) {
    for (place, sample) in to[samples(at_s)..].iter_mut().zip(sound) {
        *place += times * sample;
    }
}

fn quiet(sound: &[f64]) -> Vec<f32> {
    sound.iter().map(|s| (0.01 * s) as f32).collect()
}

/// Power from decibels.
fn times(db: f64) -> f64 {
    10_f64.powf(db / 20.0)
}

/// A rep of the length of the window: contact 1.2 to 2.8 s after the lift, the
/// ball's release 0.4 to 0.5 s before it and up to 6 dB above it, a clap 15 to
/// 20 dB below it anywhere, 1 s of noise afterwards.
fn rep(db: f64, noises: &Noises, chance: &mut Chance) -> (Vec<f32>, f64) {
    let contact_s = LIFT_S + 1.2 + 1.6 * chance.unit();
    let mut sound = noises.piece(contact_s + 1.0, chance);
    let released_s = contact_s - 0.4 - 0.1 * chance.unit();
    let burst = release(chance);
    add(
        &mut sound,
        released_s,
        &burst,
        times(db + 6.0 * chance.unit()),
    );
    let clapped = clap(chance);
    let clap_s = LIFT_S + 0.2 + chance.unit() * (contact_s - LIFT_S - 0.8);
    add(
        &mut sound,
        clap_s,
        &clapped,
        times(db - 15.0 - 5.0 * chance.unit()),
    );
    let hit = crack(chance);
    // Not every ball is hit alike.
    add(&mut sound, contact_s, &hit, times(db));
    (quiet(&sound), contact_s)
}

fn calibrated(db: f64, noises: &Noises, chance: &mut Chance) -> Calibration {
    loop {
        let balls: Vec<Onset> = (0..2)
            .filter_map(|_| {
                let mut sound = noises.piece(1.2, chance);
                add(&mut sound, 0.8, &crack(chance), times(db));
                let mut listener = Listener::new(RATE_HZ, None).unwrap();
                let found = listener.push(&quiet(&sound));
                let is_hit = |onset: &&Onset| (listener.seconds(onset) - 0.8).abs() < 0.01;
                found.iter().find(is_hit).copied()
            })
            .collect();
        if let [first, second] = balls[..]
            && let Ok(calibration) = Calibration::of([first, second])
        {
            return calibration;
        }
    }
}

/// Shares found within 10 ms and false, and the error that 95 of 100 stay below.
fn shares(db: f64, reps: u32, noises: &Noises, mut chance: Chance) -> (f64, f64, f64) {
    let (mut errors_s, mut wrong) = (Vec::new(), 0);
    let mut calibration = calibrated(db, noises, &mut chance);
    for n in 0..reps {
        if n % 20 == 0 {
            calibration = calibrated(db, noises, &mut chance);
        }
        let (sound, contact_s) = rep(db, noises, &mut chance);
        let mut listener = Listener::new(RATE_HZ, Some(calibration)).unwrap();
        let found = listener.push(&sound);
        let search = Search {
            lift_s: LIFT_S,
            known_s: Vec::new(),
        };
        let first = found
            .iter()
            .map(|onset| listener.seconds(onset))
            .find(|at_s| search.count_s(*at_s).is_some());
        match first.map(|at_s| (at_s - contact_s).abs()) {
            Some(off_s) if off_s <= 0.01 => errors_s.push(off_s),
            Some(_) => wrong += 1,
            None => {}
        }
    }
    errors_s.sort_unstable_by(f64::total_cmp);
    let share = |n: usize| n as f64 / f64::from(reps);
    let of_95 = errors_s.get(errors_s.len() * 95 / 100).copied();
    (
        share(errors_s.len()),
        share(wrong),
        of_95.unwrap_or(f64::NAN),
    )
}

#[test]
fn beside_a_machine_99_of_100_are_found_and_1_of_100_is_false_at_10_db() {
    let seed = 101;
    let noises = Noises::new(&mut Chance(seed));
    for db in [20.0, 10.0, 0.0] {
        let (found, wrong, of_95_s) = shares(db, 1_000, &noises, Chance(seed + 1));
        println!(
            "{db} dB: found {found:.3}, false {wrong:.3}, 95 in 100 within {:.1} ms",
            1e3 * of_95_s
        );
        if db >= 10.0 {
            assert!(
                found >= 0.99 && wrong <= 0.01,
                "seed {seed}, {db} dB: found {found}, false {wrong}"
            );
        }
    }
}

#[test]
fn a_swelling_burst_alone_is_no_contact_however_loud() {
    let seed = 111;
    let mut chance = Chance(seed);
    let noises = Noises::new(&mut chance);
    let mut found = 0;
    for _ in 0..200 {
        let mut sound = noises.piece(1.2, &mut chance);
        add(&mut sound, 0.7, &release(&mut chance), times(25.0));
        let mut listener = Listener::new(RATE_HZ, None).unwrap();
        found += u32::from(!listener.push(&quiet(&sound)).is_empty());
    }
    println!("{found} of 200 bursts taken for contact without a sound check");
    assert!(found <= 10, "seed {seed}: {found}");
}

#[test]
fn contact_soon_after_a_clap_is_still_heard() {
    let seed = 121;
    let mut chance = Chance(seed);
    let noises = Noises::new(&mut chance);
    let mut missed = 0;
    for _ in 0..200 {
        let calibration = calibrated(20.0, &noises, &mut chance);
        let contact_s = 0.8;
        let mut sound = noises.piece(1.2, &mut chance);
        let before_s = 0.012 + 0.1 * chance.unit();
        add(
            &mut sound,
            contact_s - before_s,
            &clap(&mut chance),
            times(5.0),
        );
        add(&mut sound, contact_s, &crack(&mut chance), times(20.0));
        let mut listener = Listener::new(RATE_HZ, Some(calibration)).unwrap();
        let found = listener.push(&quiet(&sound));
        let is_heard = |onset: &Onset| (listener.seconds(onset) - contact_s).abs() < 0.01;
        missed += u32::from(!found.iter().any(is_heard));
    }
    println!("{missed} of 200 missed after a clap");
    assert!(missed <= 6, "seed {seed}: {missed}");
}

#[test]
fn every_sample_rate_of_a_microphone_hears_the_crack_at_its_time() {
    for rate_hz in [16_000.0, 22_050.0, 44_100.0, 96_000.0, 192_000.0] {
        for seed in 131..141 {
            let mut chance = Chance(seed);
            let (hz, starts_s) = (1_500.0 + 3_000.0 * chance.unit(), 0.7);
            let sound: Vec<f32> = (0..(1.2 * rate_hz) as u32)
                .map(|n| {
                    let since_s = f64::from(n) / rate_hz - starts_s;
                    let hit = if since_s < 0.0 {
                        0.0
                    } else {
                        (-since_s / 0.004).exp() * (TAU * hz * since_s).sin()
                    };
                    (0.3 * hit + 0.01 * chance.normal()) as f32
                })
                .collect();
            let mut listener = Listener::new(rate_hz, None).unwrap();
            let found = listener.push(&sound);
            let times: Vec<f64> = found.iter().map(|one| listener.seconds(one)).collect();
            assert!(
                times.len() == 1 && (times[0] - starts_s).abs() < 0.002,
                "{rate_hz} Hz, seed {seed}: {times:?}"
            );
        }
    }
}
