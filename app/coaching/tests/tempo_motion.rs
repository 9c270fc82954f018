//! The count by motion, on motion made here with known times. The shapes are our
//! own (a smooth shift of weight, a smooth bell of rotation); no recording of a
//! swing stands behind them.

mod tempo_chance;

use coaching::tempo::TempoError;
use coaching::tempo::motion::{Mark, Pocket, Reason, Sample, Swing};
use std::f64::consts::{PI, TAU};
use tempo_chance::Chance;

/// A swing as it is made: standing, lift with a slow coil, turn, follow-through.
#[derive(Clone, Copy)]
struct Made {
    rate_hz: f64,
    lift_s: f64,
    contact_s: f64,
    /// From the start of the turn to its peak, seconds.
    rise_s: f64,
    peak_deg_s: f64,
    /// Noise of each axis, deg/s and m/s2.
    noise: (f64, f64),
    /// Sways while standing, deg/s.
    sway_deg_s: f64,
    /// A second turn so long after contact, as fast as the first, seconds.
    again_s: Option<f64>,
}

const FAIR: Made = Made {
    rate_hz: 100.0,
    lift_s: 1.2,
    contact_s: 2.6,
    rise_s: 0.18,
    peak_deg_s: 600.0,
    noise: (1.5, 0.08),
    sway_deg_s: 3.0,
    again_s: None,
};

/// A smooth step from 0 to 1 over `long_s`.
fn step(t_s: f64, long_s: f64) -> f64 {
    0.5 - 0.5 * (PI * (t_s / long_s).clamp(0.0, 1.0)).cos()
}

/// A bell that rises from 0 over `rise_s` to 1 at 0, and falls over as long again.
fn bell(t_s: f64, rise_s: f64) -> f64 {
    0.5 + 0.5 * (PI * (t_s / rise_s).clamp(-1.0, 1.0)).cos()
}

impl Made {
    /// Rotation about the pelvis's axis, deg/s.
    fn turned(&self, t_s: f64) -> f64 {
        let sway = self.sway_deg_s * (TAU * 0.7 * t_s).sin();
        let before_turn_s = self.contact_s - self.rise_s;
        let coil =
            -40.0 * step(t_s - self.lift_s, 0.15) * (1.0 - step(t_s - before_turn_s + 0.15, 0.15));
        let turn = bell(t_s - self.contact_s, self.rise_s);
        let again = self.again_s.map_or(0.0, |again_s| {
            bell(t_s - self.contact_s - again_s, self.rise_s)
        });
        sway + coil + self.peak_deg_s * (turn + again)
    }

    /// Push off rest, m/s2: the weight shifts, then the turn.
    fn pushed(&self, t_s: f64) -> f64 {
        let since_s = t_s - self.lift_s;
        let shift = 1.2 * step(since_s, 0.1) * (1.0 - step(since_s - 0.5, 0.3));
        shift + 8.0 * bell(t_s - self.contact_s, self.rise_s)
    }

    fn samples(&self, chance: &mut Chance) -> Vec<Sample> {
        // The phone sits at any angle: two directions by chance.
        let mut direction = || {
            let v = [chance.normal(), chance.normal(), chance.normal()];
            let length = v.iter().map(|x| x * x).sum::<f64>().sqrt();
            v.map(|x| x / length)
        };
        let (axis, down) = (direction(), direction());
        let first_ms = 1e5 * chance.unit();
        (0..(3.6 * self.rate_hz) as u32)
            .map(|n| {
                // Events come a little off their time.
                let t_s = (f64::from(n) + 0.1 * chance.normal().clamp(-2.0, 2.0)) / self.rate_hz;
                let (turned, pushed) = (self.turned(t_s), self.pushed(t_s));
                let mut with_noise = |v: [f64; 3], value: f64, noise: f64| {
                    v.map(|x| x * value + noise * chance.normal())
                };
                Sample {
                    t_ms: first_ms + 1e3 * t_s,
                    acceleration_m_s2: with_noise(down, 9.81 + pushed, self.noise.1),
                    rotation_deg_s: with_noise(axis, turned, self.noise.0),
                }
            })
            .collect()
    }

    /// The swing found, its times in seconds since the first sample, near enough.
    fn found(&self, chance: &mut Chance) -> (Swing, [f64; 3]) {
        let samples = self.samples(chance);
        let swing = Swing::of(&samples).expect("a swing");
        let since = |t_ms: f64| (t_ms - samples[0].t_ms) / 1e3;
        let lift_s = swing.lift_ms.map_or(f64::NAN, since);
        let times = [lift_s, since(swing.turn_ms), since(swing.contact_ms)];
        (swing, times)
    }
}

/// The error that 95 of 100 stay below.
fn of_95(mut errors: Vec<f64>) -> f64 {
    errors.sort_unstable_by(f64::total_cmp);
    errors[errors.len() * 95 / 100]
}

#[test]
fn lift_turn_and_contact_are_found_at_60_and_100_samples_a_second() {
    for rate_hz in [60.0, 100.0] {
        let seed = 31;
        let mut chance = Chance(seed);
        let (mut lift, mut turn, mut contact, mut counts) = (vec![], vec![], vec![], vec![]);
        let mut late = Vec::new();
        for _ in 0..300 {
            let made = Made {
                rate_hz,
                lift_s: 1.0 + 0.4 * chance.unit(),
                contact_s: 2.3 + 0.6 * chance.unit(),
                rise_s: 0.12 + 0.1 * chance.unit(),
                peak_deg_s: 400.0 + 350.0 * chance.unit(),
                ..FAIR
            };
            let (swing, [lift_s, turn_s, contact_s]) = made.found(&mut chance);
            assert_eq!(swing.quality.mark, Mark::Good, "{:?}", swing.quality);
            // A fifth of the peak on a bell: acos(0.6) of half a turn before it.
            let true_turn_s = made.contact_s - made.rise_s * (1.0 - (0.6_f64).acos() / PI);
            late.push(lift_s - made.lift_s);
            lift.push((lift_s - made.lift_s).abs());
            turn.push((turn_s - true_turn_s).abs());
            contact.push((contact_s - made.contact_s).abs());
            let count_s = swing.count_s().unwrap().unwrap();
            counts.push((count_s - (made.contact_s - made.lift_s)).abs());
        }
        let [lift, turn, contact, counts] = [lift, turn, contact, counts].map(of_95);
        let late_s = late.iter().sum::<f64>() / late.len() as f64;
        println!(
            "{rate_hz} Hz: lift late by {:.0} ms on the whole",
            1e3 * late_s
        );
        println!(
            "{rate_hz} Hz, 95 in 100 within: lift {:.0} ms, turn {:.0} ms, contact {:.0} ms, count {:.0} ms",
            1e3 * lift,
            1e3 * turn,
            1e3 * contact,
            1e3 * counts
        );
        assert!(lift < 0.05, "seed {seed}: lift {lift}");
        assert!(turn < 0.02, "seed {seed}: turn {turn}");
        assert!(contact < 0.01, "seed {seed}: contact {contact}");
        assert!(counts < 0.05, "seed {seed}: count {counts}");
    }
}

/// The mark and the reasons for one made swing.
fn judged(made: Made, seed: u64) -> (Mark, Vec<Reason>) {
    let swing = Swing::of(&made.samples(&mut Chance(seed))).unwrap();
    let is_recorded = swing.count_s().unwrap().is_some();
    assert_eq!(is_recorded, swing.quality.mark != Mark::Poor);
    (swing.quality.mark, swing.quality.reasons)
}

#[test]
fn too_few_samples_a_second_are_fair_and_far_too_few_poor() {
    let at = |rate_hz| judged(Made { rate_hz, ..FAIR }, 41);
    assert_eq!(at(60.0), (Mark::Good, vec![]));
    assert_eq!(at(35.0), (Mark::Fair, vec![Reason::SlowSamples]));
    assert_eq!(at(20.0).0, Mark::Poor);
    assert!(at(20.0).1.contains(&Reason::SlowSamples));
}

#[test]
fn a_loose_phone_is_fair_and_a_shaking_one_poor() {
    for seed in 51..61 {
        let with = |noise| judged(Made { noise, ..FAIR }, seed);
        let loose = with((8.0, 0.1));
        assert_eq!(loose, (Mark::Fair, vec![Reason::Noisy]), "seed {seed}");
        let (mark, reasons) = with((30.0, 2.0));
        assert_eq!(mark, Mark::Poor, "seed {seed}");
        assert!(reasons.contains(&Reason::TooNoisy), "seed {seed}");
    }
}

#[test]
fn a_hitter_who_never_stands_still_gets_no_count() {
    let made = Made {
        sway_deg_s: 45.0,
        ..FAIR
    };
    for seed in 61..71 {
        let swing = Swing::of(&made.samples(&mut Chance(seed))).unwrap();
        assert_eq!(swing.quality.mark, Mark::Poor, "seed {seed}");
        assert!(swing.quality.reasons.contains(&Reason::NeverStill));
        assert_eq!(swing.lift_ms, None);
        assert_eq!(swing.count_s(), Ok(None));
    }
    // A lift right after the start: nothing before it to compare.
    let early = Made {
        lift_s: 0.2,
        ..FAIR
    };
    assert_eq!(judged(early, 62), (Mark::Poor, vec![Reason::NeverStill]));
}

#[test]
fn no_fast_turn_or_two_of_them_are_poor() {
    let slow = Made {
        peak_deg_s: 120.0,
        ..FAIR
    };
    assert_eq!(judged(slow, 71), (Mark::Poor, vec![Reason::NoPeak]));
    let twice = Made {
        again_s: Some(0.7),
        ..FAIR
    };
    assert_eq!(judged(twice, 72), (Mark::Poor, vec![Reason::TwoPeaks]));
    let cut_off = Made {
        contact_s: 3.65,
        ..FAIR
    };
    let (mark, reasons) = judged(cut_off, 73);
    assert_eq!(mark, Mark::Poor);
    assert!(reasons.contains(&Reason::NoPeak), "{reasons:?}");
}

#[test]
fn samples_missing_within_the_turn_are_said() {
    let mut samples = FAIR.samples(&mut Chance(81));
    let from_ms = samples[0].t_ms;
    samples.retain(|sample| !(2_480.0..2_540.0).contains(&(sample.t_ms - from_ms)));
    let swing = Swing::of(&samples).unwrap();
    assert_eq!(swing.quality.mark, Mark::Fair);
    assert_eq!(swing.quality.reasons, [Reason::Gap]);
    assert_eq!(
        swing.quality.sentence(),
        "Motion: fair; samples are missing within the turn."
    );
}

#[test]
fn samples_that_are_no_row_are_refused() {
    let samples = FAIR.samples(&mut Chance(91));
    let refused = Err(TempoError::MotionSamples);
    assert_eq!(Swing::of(&[]), refused);
    assert_eq!(Swing::of(&samples[..50]), refused, "half a second");
    let mut back = samples.clone();
    back[100].t_ms = back[98].t_ms;
    assert_eq!(Swing::of(&back), refused);
    let mut broken = samples.clone();
    broken[10].rotation_deg_s[1] = f64::NAN;
    assert_eq!(Swing::of(&broken), refused);
}

#[test]
fn a_phone_that_lies_on_the_bench_has_no_swing() {
    let still = Made {
        peak_deg_s: 0.0,
        lift_s: 99.0,
        contact_s: 99.0,
        sway_deg_s: 0.0,
        ..FAIR
    };
    let (mark, reasons) = judged(still, 92);
    assert_eq!(mark, Mark::Poor);
    assert!(reasons.contains(&Reason::NoPeak));
}

/// What a pocket finds in samples that come one after the other.
fn felt(samples: &[Sample]) -> Vec<Swing> {
    let mut pocket = Pocket::default();
    let found = samples.iter().filter_map(|sample| pocket.feel(*sample));
    found.map(|swing| swing.expect("a swing")).collect()
}

#[test]
fn a_stream_of_swings_is_cut_into_one_each_with_the_times_of_the_whole() {
    let mut chance = Chance(101);
    let mut stream: Vec<Sample> = Vec::new();
    let mut contacts_ms = Vec::new();
    for _ in 0..5 {
        let mut rep = FAIR.samples(&mut chance);
        let begins_ms = stream.last().map_or(0.0, |last| last.t_ms + 2_000.0);
        let first_ms = rep[0].t_ms;
        contacts_ms.push(begins_ms + 1e3 * FAIR.contact_s);
        for sample in &mut rep {
            sample.t_ms += begins_ms - first_ms;
        }
        // Standing between two reps.
        let still = rep[0];
        let rest = (1..150).map(|n| Sample {
            t_ms: begins_ms - 1_500.0 + 10.0 * f64::from(n),
            ..still
        });
        if !stream.is_empty() {
            stream.extend(rest);
        }
        stream.extend(rep);
    }
    let found = felt(&stream);
    assert_eq!(found.len(), 5);
    for (swing, contact_ms) in found.iter().zip(contacts_ms) {
        assert!((swing.contact_ms - contact_ms).abs() < 15.0, "{swing:?}");
        let count_s = swing.count_s().unwrap().expect("a count");
        let made_s = FAIR.contact_s - FAIR.lift_s;
        assert!((count_s - made_s).abs() < 0.06, "{count_s}");
    }
}

#[test]
fn a_stream_says_of_a_swing_without_stillness_that_it_is_poor() {
    let made = Made {
        sway_deg_s: 90.0,
        ..FAIR
    };
    let found = felt(&made.samples(&mut Chance(102)));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].quality.mark, Mark::Poor);
    assert_eq!(found[0].count_s(), Ok(None));
}

#[test]
fn standing_and_times_that_go_back_are_no_swing() {
    let still = FAIR.samples(&mut Chance(103))[0];
    let mut pocket = Pocket::default();
    for n in 0..3_000 {
        let t_ms = 10.0 * f64::from(n);
        assert_eq!(pocket.feel(Sample { t_ms, ..still }), None);
        assert_eq!(pocket.feel(Sample { t_ms, ..still }), None);
    }
}
