//! Contact by sound, on sound made here with known times: cracks in white and pink
//! noise, beside a machine's hum, its ball let go, and claps. The measure of
//! strength is the issue's own: the crack's power to the noise's in the 10 ms after
//! its start. Filter response against the closed form of a Butterworth filter.

use coaching::tempo::onset::{Calibration, Listener, Onset, OnsetError, Search, echo_s};
use proptest::prelude::*;
use std::f64::consts::TAU;

const RATE_HZ: f64 = 48_000.0;

/// A small generator of chance (xorshift64*, Vigna 2016, from memory).
struct Chance(u64);

impl Chance {
    fn unit(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normal, by Box and Muller.
    fn normal(&mut self) -> f64 {
        let away = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        away * (TAU * self.unit()).cos()
    }
}

/// Noise of power 1: white, or pink by Paul Kellet's filter (from memory).
fn noise(samples: usize, is_pink: bool, chance: &mut Chance) -> Vec<f64> {
    let mut pink = [0.0_f64; 3];
    let mut made: Vec<f64> = (0..samples)
        .map(|_| {
            let white = chance.normal();
            if !is_pink {
                return white;
            }
            pink[0] = 0.997_65 * pink[0] + white * 0.099_046;
            pink[1] = 0.963 * pink[1] + white * 0.296_516_4;
            pink[2] = 0.57 * pink[2] + white * 1.052_691_3;
            pink[0] + pink[1] + pink[2] + white * 0.184_8
        })
        .collect();
    let power = made.iter().map(|s| s * s).sum::<f64>() / samples as f64;
    made.iter_mut().for_each(|s| *s /= power.sqrt());
    made
}

/// A crack: three resonances that die away in 2 to 8 ms.
fn crack(chance: &mut Chance) -> Vec<f64> {
    let parts: Vec<[f64; 4]> = (0..3)
        .map(|_| {
            [
                chance.between(1_500.0, 5_000.0),
                chance.between(0.002, 0.008) / 3.0,
                chance.between(0.4, 1.0),
                chance.between(0.0, TAU),
            ]
        })
        .collect();
    damped(&parts, 0.03)
}

/// What a machine does as it lets a ball go: low and dull.
fn thump(chance: &mut Chance) -> Vec<f64> {
    let low = chance.between(80.0, 300.0);
    damped(
        &[[low, 0.015, 1.0, 0.0], [2.0 * low, 0.008, 0.5, 1.0]],
        0.08,
    )
}

fn damped(parts: &[[f64; 4]], lasts_s: f64) -> Vec<f64> {
    (0..(lasts_s * RATE_HZ) as usize)
        .map(|n| {
            let t = n as f64 / RATE_HZ;
            let of = |[hz, dies_s, loud, phase]: &[f64; 4]| {
                loud * (-t / dies_s).exp() * (TAU * hz * t + phase).sin()
            };
            parts.iter().map(of).sum()
        })
        .collect()
}

/// A clap: noise that dies away.
fn clap(chance: &mut Chance) -> Vec<f64> {
    let samples = (0.03 * RATE_HZ) as usize;
    let made = noise(samples, false, chance);
    let dies = |n: usize| (-(n as f64) / (0.006 * RATE_HZ)).exp();
    made.iter().enumerate().map(|(n, s)| s * dies(n)).collect()
}

/// Mean power of the first 10 ms.
fn power(sound: &[f64]) -> f64 {
    let samples = (0.01 * RATE_HZ) as usize;
    sound.iter().take(samples).map(|s| s * s).sum::<f64>() / samples as f64
}

fn add(to: &mut [f64], at_s: f64, sound: &[f64], times: f64) {
    let at = (at_s * RATE_HZ) as usize;
    for (place, sample) in to[at..].iter_mut().zip(sound) {
        *place += times * sample;
    }
}

/// What a machine hums with this mains frequency, its strength coming and going.
fn hum(hz: f64) -> Vec<f64> {
    (0..(REP_S * RATE_HZ) as usize)
        .map(|n| {
            let t = n as f64 / RATE_HZ;
            let of = |k: i32| (TAU * hz * f64::from(k) * t).sin() / f64::from(k);
            (1..=5).map(of).sum::<f64>() * (1.0 + 0.5 * (TAU * 7.0 * t).sin())
        })
        .collect()
}

static HUMS: std::sync::OnceLock<[Vec<f64>; 4]> = std::sync::OnceLock::new();

/// How long a rep is heard, seconds.
const REP_S: f64 = 1.6;

/// One rep: noise of power 1, a hum as strong, a machine's ball let go twice as
/// loud as the crack, a clap a tenth as strong, and the crack `snr_db` above the
/// noise. Gives the samples and when the crack starts.
fn rep(snr_db: f64, is_pink: bool, chance: &mut Chance) -> (Vec<f32>, f64) {
    let mut sound = noise((REP_S * RATE_HZ) as usize, is_pink, chance);
    let hums = HUMS.get_or_init(|| [48.0, 50.0, 57.0, 60.0].map(hum));
    add(&mut sound, 0.0, &hums[(4.0 * chance.unit()) as usize], 1.0);
    let of_crack = 10_f64.powf(snr_db / 10.0);
    let at_s = chance.between(0.9, 1.5);
    let hit = crack(chance);
    add(&mut sound, at_s, &hit, (of_crack / power(&hit)).sqrt());
    // Not closer to contact than two sounds can be told apart.
    let thumped = thump(chance);
    let let_go_s = chance.between(0.45, at_s - 0.2);
    add(
        &mut sound,
        let_go_s,
        &thumped,
        2.0 * (of_crack / power(&thumped)).sqrt(),
    );
    let clapped = clap(chance);
    let clap_s = chance.between(0.45, at_s - 0.2);
    add(
        &mut sound,
        clap_s,
        &clapped,
        (0.1 * of_crack / power(&clapped)).sqrt(),
    );
    (sound.iter().map(|s| (0.01 * s) as f32).collect(), at_s)
}

/// The two balls of the sound check at this strength.
fn calibrated(snr_db: f64, is_pink: bool, chance: &mut Chance) -> Result<Calibration, OnsetError> {
    let mut balls = Vec::new();
    while balls.len() < 2 {
        let mut sound = noise(RATE_HZ as usize, is_pink, chance);
        let hit = crack(chance);
        let times = (10_f64.powf(snr_db / 10.0) / power(&hit)).sqrt();
        add(&mut sound, 0.6, &hit, times);
        let samples: Vec<f32> = sound.iter().map(|s| (0.01 * s) as f32).collect();
        let mut listener = Listener::new(RATE_HZ, None).unwrap();
        // A ball that is not heard is hit again.
        balls.extend(listener.push(&samples).first().copied());
    }
    Calibration::of([balls[0], balls[1]])
}

/// Shares found within 10 ms, and false: something else taken for contact.
fn shares(snr_db: f64, reps: u32, seed: u64) -> (f64, f64, f64) {
    let mut chance = Chance(seed);
    let (mut found, mut wrong, mut worst_s) = (0_u32, 0_u32, 0.0_f64);
    let mut calibration = None;
    for n in 0..reps {
        let is_pink = n % 2 == 1;
        if n % 20 < 2 || calibration.is_none() {
            // A new sound check every round, for each kind of noise in turn.
            calibration = calibrated(snr_db.max(10.0), is_pink, &mut chance).ok();
        }
        let (samples, at_s) = rep(snr_db, is_pink, &mut chance);
        // Of a weak crack, what the strong ones of the sound check would ask for is
        // too much: without them.
        let asked = calibration.filter(|_| snr_db >= 10.0);
        let mut listener = Listener::new(RATE_HZ, asked).unwrap();
        let search = Search {
            lift_s: 0.2,
            known_s: Vec::new(),
        };
        let onsets = listener.push(&samples);
        let mut times = onsets.iter().map(|onset| listener.seconds(onset));
        let first = times.find(|at_s| search.count_s(*at_s).is_some());
        match first {
            Some(heard_s) if (heard_s - at_s).abs() <= 0.010 => {
                found += 1;
                worst_s = worst_s.max((heard_s - at_s).abs());
            }
            Some(_) => wrong += 1,
            None => {}
        }
    }
    let share = |n: u32| f64::from(n) / f64::from(reps);
    (share(found), share(wrong), worst_s)
}

#[test]
fn of_a_thousand_reps_at_10_db_99_in_100_are_found_and_1_in_100_is_false() {
    let seed = 2_026;
    let (found, wrong, worst_s) = shares(10.0, 1_000, seed);
    println!(
        "10 dB: found {found:.3}, false {wrong:.3}, worst {:.1} ms",
        1e3 * worst_s
    );
    assert!(
        found >= 0.99 && wrong <= 0.01,
        "seed {seed}: found {found}, false {wrong}"
    );
}

#[test]
fn figures_at_0_db_are_stated_and_stay_honest() {
    let seed = 2_027;
    let (found, wrong, worst_s) = shares(0.0, 1_000, seed);
    println!(
        "0 dB: found {found:.3}, false {wrong:.3}, worst {:.1} ms",
        1e3 * worst_s
    );
    // No budget here: what is held is that doubt means silence, not a wrong count.
    assert!(wrong <= 0.02, "seed {seed}: false {wrong}");
}

#[test]
fn noise_and_hum_alone_are_no_contact() {
    for (seed, is_pink) in [(5, false), (6, true)] {
        let mut chance = Chance(seed);
        let made = noise((60.0 * RATE_HZ) as usize, is_pink, &mut chance);
        let samples: Vec<f32> = made.iter().map(|s| (0.02 * s) as f32).collect();
        let mut listener = Listener::new(RATE_HZ, None).unwrap();
        let found = listener.push(&samples);
        assert!(found.is_empty(), "pink {is_pink}: {found:?}");
    }
}

#[test]
fn silence_with_a_single_click_gives_that_click_and_silence_alone_nothing() {
    let mut listener = Listener::new(RATE_HZ, None).unwrap();
    assert!(listener.push(&vec![0.0; 96_000]).is_empty());
    let mut click = vec![0.0_f32; 9_600];
    click[480] = 0.5;
    let found = listener.push(&click);
    assert_eq!(found.len(), 1);
    assert!(found[0].at_sample.abs_diff(96_480) <= 48, "{found:?}");
}

#[test]
fn a_broken_sample_does_not_make_the_listener_deaf() {
    let mut listener = Listener::new(RATE_HZ, None).unwrap();
    let mut sound = noise(48_000, false, &mut Chance(9));
    add(&mut sound, 0.7, &crack(&mut Chance(10)), 30.0);
    let mut samples: Vec<f32> = sound.iter().map(|s| *s as f32).collect();
    samples[1_000] = f32::NAN;
    samples[2_000] = f32::INFINITY;
    assert_eq!(listener.push(&samples).len(), 1);
}

#[test]
fn the_band_passes_the_crack_and_stops_the_hum() {
    // The gain of a Butterworth high-pass of order n at f is
    // 1 / sqrt(1 + (fc/f)^2n) (Oppenheim and Schafer, from memory), here with f
    // warped by the bilinear transform.
    let warp = |hz: f64| (std::f64::consts::PI * hz / RATE_HZ).tan();
    for hz in [120.0, 600.0, 1_200.0, 2_400.0, 5_000.0] {
        let expected = 1.0 / (1.0 + (warp(1_200.0) / warp(hz)).powi(8)).sqrt();
        let tone: Vec<f32> = (0..96_000)
            .map(|n| (TAU * hz * f64::from(n) / RATE_HZ).sin() as f32)
            .collect();
        let mut listener = Listener::new(RATE_HZ, None).unwrap();
        listener.push(&tone);
        // Energy of a tone of amplitude 1 over 4 ms: 192 samples of 1/2 each.
        let gain = (listener.noise() / (192.0 * 0.5)).sqrt();
        let near = (gain - expected).abs() <= 0.02 * expected + 2e-4;
        assert!(near, "{hz} Hz: {gain}, expected {expected}");
    }
}

#[test]
fn contact_is_looked_for_within_the_range_of_counts_and_not_at_known_sounds() {
    let search = Search {
        lift_s: 1.0,
        known_s: vec![2.0],
    };
    assert_eq!(search.count_s(1.1), None, "too soon");
    assert_eq!(search.count_s(2.5), Some(1.5));
    assert_eq!(search.count_s(2.03), None, "the machine");
    assert_eq!(search.count_s(0.5), None, "before the lift");
    assert_eq!(search.count_s(7.5), None, "too late");
}

#[test]
fn the_first_that_can_be_contact_counts_and_nothing_heard_is_no_count() {
    let search = Search {
        lift_s: 10.0,
        known_s: vec![11.0],
    };
    assert_eq!(search.first_of(&[], 3.0), None);
    // Before, too soon, the known one, and too late for the target.
    assert_eq!(search.first_of(&[9.0, 10.1, 11.02, 13.5], 3.0), None);
    let count_s = search.first_of(&[12.0, 11.4, 13.5], 3.0).expect("a count");
    assert!((count_s - 1.4).abs() < 1e-9);
}

#[test]
fn the_phones_own_sounds_are_known_by_how_late_most_are_heard() {
    let played = [1.0, 9.0, 17.0];
    assert_eq!(echo_s(&played, &[]), 0.0);
    assert_eq!(echo_s(&played, &[1.07]), 0.0, "one is none");
    let heard = [1.07, 4.0, 9.08, 11.5, 17.075];
    assert!((echo_s(&played, &heard) - 0.075).abs() < 1e-9);
    // A browser that takes its speaker for later than it is, and one contact by chance
    // near an own sound.
    let heard = [0.95, 8.955, 17.02];
    assert!((echo_s(&played, &heard) + 0.045).abs() < 1e-9);
}

/// What is left after contact when the sound stops is too little until it is
/// [`Listener::NEEDS_AFTER_S`].
#[test]
fn a_contact_is_told_only_when_enough_was_heard_after_it() {
    let mut sound = noise(48_000, false, &mut Chance(11));
    add(&mut sound, 0.7, &crack(&mut Chance(12)), 30.0);
    let samples: Vec<f32> = sound.iter().map(|s| *s as f32).collect();
    let found_with = |after_s: f64| {
        let heard = ((0.7 + after_s) * RATE_HZ) as usize;
        let mut listener = Listener::new(RATE_HZ, None).unwrap();
        listener.push(&samples[..heard]).len()
    };
    assert_eq!(found_with(Listener::NEEDS_AFTER_S), 1);
    assert_eq!(found_with(0.5 * Listener::NEEDS_AFTER_S), 0);
}

#[test]
fn a_sound_check_refuses_quiet_balls_and_unlike_ones() {
    let ball = |strength: f64, ratio: f64| Onset {
        at_sample: 0,
        strength,
        ratio,
    };
    assert!(Calibration::of([ball(1.0, 9.0), ball(2.0, 18.0)]).is_ok());
    let quiet = Calibration::of([ball(1.0, 3.0), ball(2.0, 18.0)]);
    assert!(matches!(quiet, Err(OnsetError::TooQuiet { .. })));
    let unlike = Calibration::of([ball(1.0, 9.0), ball(20.0, 180.0)]);
    assert!(matches!(unlike, Err(OnsetError::Unlike { .. })));
    assert!(Listener::new(8_000.0, None).is_err());
    assert!(Listener::new(f64::NAN, None).is_err());
}

#[test]
#[ignore = "prints a speed; nothing to hold"]
fn how_fast_it_listens() {
    let made = noise((20.0 * RATE_HZ) as usize, false, &mut Chance(3));
    let samples: Vec<f32> = made.iter().map(|s| *s as f32).collect();
    let mut listener = Listener::new(RATE_HZ, None).unwrap();
    let start = std::time::Instant::now();
    listener.push(&samples);
    println!(
        "{:.0} times as fast as it sounds",
        20.0 / start.elapsed().as_secs_f64()
    );
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(32)
    })]

    #[test]
    fn what_is_found_does_not_depend_on_how_the_stream_is_cut(
        seed in 1_u64..1_000_000,
        sizes in prop::collection::vec(1_usize..3_000, 1..40),
    ) {
        let (samples, _) = rep(14.0, seed % 2 == 0, &mut Chance(seed));
        let mut whole = Listener::new(RATE_HZ, None).unwrap();
        let expected = whole.push(&samples);
        let mut cut = Listener::new(RATE_HZ, None).unwrap();
        let (mut found, mut rest) = (Vec::new(), samples.as_slice());
        for size in sizes.iter().cycle() {
            if rest.is_empty() {
                break;
            }
            let (block, after) = rest.split_at((*size).min(rest.len()));
            found.extend(cut.push(block));
            rest = after;
        }
        prop_assert_eq!(found, expected);
    }
}
