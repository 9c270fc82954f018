//! The timetable of a target count, and the delay of a wireless speaker.

mod tempo_chance;

use coaching::count::Target;
use coaching::tempo::TempoError;
use coaching::tempo::beats::{
    Cue, Delivery, Kind, Mode, Plan, RepTimes, Rung, Timetable, alone, alone_rungs,
};
use coaching::tempo::delay::{Delay, checked_delay_s};
use coaching::vocabulary::Environment;
use proptest::prelude::*;
use tempo_chance::Chance;

fn target(seconds: f64) -> Target {
    Target::new(seconds).unwrap()
}

const fn rung(environment: Environment, mode: Mode, reps: u8) -> Rung {
    Rung {
        environment,
        mode,
        reps,
    }
}

fn plan(rungs: &[Rung]) -> Plan<'_> {
    Plan {
        target: target(1.5),
        beats: 3,
        rungs,
        announce_s: 3.0,
        rest_s: 10.0,
        delivery: None,
    }
}

/// When each cue of a kind comes.
fn times(table: &Timetable, is_wanted: impl Fn(&Cue) -> bool) -> Vec<f64> {
    table
        .cues()
        .iter()
        .filter(|cue| is_wanted(cue))
        .map(|cue| cue.at_s)
        .collect()
}

#[test]
fn a_rep_is_announced_lifted_counted_met_and_rested() {
    let rungs = [rung(Environment::Tee, Mode::Follow, 2)];
    let table = Timetable::of(&plan(&rungs)).unwrap();
    let seen: Vec<(f64, Kind)> = table
        .cues()
        .iter()
        .map(|cue| (cue.at_s, cue.kind))
        .collect();
    // By hand: announced at 0, lift 3 s later, a count of 1.5 s in three, a second
    // to settle, ten of rest.
    assert_eq!(
        seen[..6],
        [
            (0.0, Kind::Announce),
            (3.0, Kind::Lift),
            (3.5, Kind::Beat(1)),
            (4.0, Kind::Beat(2)),
            (4.5, Kind::Contact),
            (5.5, Kind::Rest),
        ]
    );
    assert_eq!(seen[6], (15.5, Kind::Announce));
    assert_eq!(seen.len(), 12);
    assert_eq!(table.ends_s(), 31.0);
    assert_eq!(
        table.words(&table.cues()[6]),
        "Rep 2 of 2: Tee, follow the beats."
    );
}

#[test]
fn in_silent_mode_every_third_beat_is_muted_and_the_lift_never() {
    let rungs = [
        rung(Environment::Tee, Mode::Silent, 4),
        rung(Environment::FrontToss, Mode::Silent, 1),
    ];
    let mut plan = plan(&rungs);
    plan.beats = 4;
    let table = Timetable::of(&plan).unwrap();
    let muted: Vec<bool> = table
        .cues()
        .iter()
        .filter(|cue| matches!(cue.kind, Kind::Beat(_) | Kind::Contact))
        .map(|cue| cue.is_muted)
        .collect();
    let expected: Vec<bool> = (1..=16).chain(1..=4).map(|beat| beat % 3 == 0).collect();
    assert_eq!(muted, expected, "counted anew in each set");
    assert!(times(&table, |cue| cue.is_muted && cue.kind == Kind::Lift).is_empty());
}

#[test]
fn in_self_check_only_the_lift_is_given() {
    let rungs = [rung(Environment::Tee, Mode::SelfCheck, 5)];
    let table = Timetable::of(&plan(&rungs)).unwrap();
    let given = |cue: &Cue| !cue.is_muted;
    for cue in table.cues() {
        let is_beat = matches!(cue.kind, Kind::Beat(_) | Kind::Contact);
        assert_eq!(given(cue), !is_beat, "{cue:?}");
    }
}

#[test]
fn a_ladder_keeps_one_target_over_its_sets() {
    let rungs = [
        rung(Environment::MedicineBall, Mode::Follow, 3),
        rung(Environment::Tee, Mode::Silent, 3),
        rung(Environment::FrontToss, Mode::SelfCheck, 3),
    ];
    let table = Timetable::of(&plan(&rungs)).unwrap();
    let lifts = times(&table, |cue| cue.kind == Kind::Lift);
    let contacts = times(&table, |cue| cue.kind == Kind::Contact);
    assert_eq!(lifts.len(), 9);
    for (lift_s, contact_s) in lifts.iter().zip(&contacts) {
        assert!((contact_s - lift_s - 1.5).abs() < 1e-9);
    }
    let environments: Vec<Environment> = table
        .cues()
        .iter()
        .filter(|cue| cue.kind == Kind::Announce)
        .map(|cue| cue.rung.environment)
        .collect();
    assert_eq!(environments[2], Environment::MedicineBall);
    assert_eq!(environments[3], Environment::Tee);
    assert_eq!(environments[8], Environment::FrontToss);
}

#[test]
fn a_player_alone_has_a_ladder_of_20_reps_without_a_touch_on_a_tee_or_medicine_ball() {
    let table = alone(target(1.4), 3, Environment::Tee).unwrap();
    assert_eq!(table.reps(), 20);
    let of = |mode: Mode| {
        times(&table, |cue| {
            cue.kind == Kind::Lift && cue.rung.mode == mode
        })
        .len()
    };
    assert_eq!(
        [Mode::Follow, Mode::Silent, Mode::SelfCheck].map(of),
        [8, 6, 6]
    );
    // By hand: 3 + 1.4 + 1 + 10 s a rep.
    assert!((table.ends_s() - 20.0 * 15.4).abs() < 1e-9);
    assert!(alone(target(1.4), 3, Environment::MedicineBall).is_ok());
    for environment in [
        Environment::Machine,
        Environment::FrontToss,
        Environment::Live,
    ] {
        let refused = alone(target(1.4), 3, environment).unwrap_err();
        assert_eq!(refused, TempoError::Alone);
        assert!(refused.to_string().contains("tee or medicine ball only"));
    }
}

#[test]
fn each_rep_is_told_as_a_whole_with_its_place_in_its_set() {
    let rungs = [
        rung(Environment::Tee, Mode::Follow, 2),
        rung(Environment::Tee, Mode::SelfCheck, 1),
    ];
    let mut plan = plan(&rungs);
    let chances = [0.5; 3];
    plan.delivery = Some(Delivery {
        feed_after_lift_s: 0.25,
        longest_wait_s: 0.0,
        chances: &chances,
    });
    let reps = Timetable::of(&plan).unwrap().rep_times();
    // By hand: 3 + 1.5 + 1 + 10 s a rep.
    let by_hand = |begins_s: f64, set, number| RepTimes {
        set,
        number,
        announced_s: begins_s,
        lift_s: begins_s + 3.0,
        contact_s: begins_s + 4.5,
        feed_s: Some(begins_s + 3.25),
        ends_s: begins_s + 15.5,
    };
    assert_eq!(
        reps,
        [by_hand(0.0, 0, 1), by_hand(15.5, 0, 2), by_hand(31.0, 1, 1)]
    );
    assert_eq!(alone_rungs(Environment::Tee).unwrap().len(), 3);
}

#[test]
fn a_usual_beat_is_near_half_a_second() {
    for (seconds, beats) in [(1.0, 2), (1.2, 2), (1.5, 3), (2.0, 4), (3.0, 6)] {
        assert_eq!(Plan::usual_beats(target(seconds)), beats, "{seconds} s");
    }
}

#[test]
fn a_fed_machine_waits_by_chance_and_its_feed_keeps_its_place_to_the_lift() {
    let rungs = [rung(Environment::Machine, Mode::Follow, 4)];
    let chances = [0.0, 1.0, 0.25, 0.5];
    let with_feed = |feed_after_lift_s: f64| {
        let mut plan = plan(&rungs);
        plan.delivery = Some(Delivery {
            feed_after_lift_s,
            longest_wait_s: 4.0,
            chances: &chances,
        });
        Timetable::of(&plan).unwrap()
    };
    for feed_after_lift_s in [0.57, -0.8, -5.0] {
        let table = with_feed(feed_after_lift_s);
        let announced = times(&table, |cue| cue.kind == Kind::Announce);
        let lifts = times(&table, |cue| cue.kind == Kind::Lift);
        let feeds = times(&table, |cue| cue.kind == Kind::Feed);
        let lead_s = 3.0_f64.max(-feed_after_lift_s);
        for rep in 0..4 {
            let wait_s = lifts[rep] - announced[rep] - lead_s;
            assert!((wait_s - 4.0 * chances[rep]).abs() < 1e-9);
            assert!((feeds[rep] - lifts[rep] - feed_after_lift_s).abs() < 1e-9);
            assert!(
                feeds[rep] >= announced[rep],
                "never before the announcement"
            );
        }
    }
}

#[test]
fn a_plan_out_of_range_is_refused() {
    let rungs = [rung(Environment::Tee, Mode::Follow, 5)];
    let fair = plan(&rungs);
    let chances = [0.5; 5];
    let delivery = Delivery {
        feed_after_lift_s: 0.5,
        longest_wait_s: 2.0,
        chances: &chances,
    };
    let with = |delivery| Plan {
        delivery: Some(delivery),
        ..fair
    };
    let cases = [
        (Plan { beats: 0, ..fair }, TempoError::Beats),
        (Plan { beats: 9, ..fair }, TempoError::Beats),
        (Plan { rungs: &[], ..fair }, TempoError::Reps),
        (
            Plan {
                announce_s: 0.5,
                ..fair
            },
            TempoError::Announce,
        ),
        (
            Plan {
                rest_s: f64::NAN,
                ..fair
            },
            TempoError::Rest,
        ),
        (
            with(Delivery {
                feed_after_lift_s: 1.6,
                ..delivery
            }),
            TempoError::Feed,
        ),
        (
            with(Delivery {
                chances: &chances[1..],
                ..delivery
            }),
            TempoError::Wait,
        ),
        (
            with(Delivery {
                chances: &[0.5, 0.5, 1.5, 0.5, 0.5],
                ..delivery
            }),
            TempoError::Wait,
        ),
        (
            with(Delivery {
                longest_wait_s: -1.0,
                ..delivery
            }),
            TempoError::Wait,
        ),
    ];
    for (plan, refused) in cases {
        assert_eq!(Timetable::of(&plan), Err(refused));
        let said = refused.to_string();
        assert!(said.contains("allowed") && said.contains("kept."), "{said}");
    }
    assert!(Timetable::of(&with(delivery)).is_ok());
}

/// Taps along with beats half a second apart.
fn taps(delay_s: f64, spread_s: f64, n: u32, seed: u64) -> Vec<(f64, f64)> {
    let mut chance = Chance(seed);
    (0..n)
        .map(|beat| {
            let scheduled_s = 0.5 * f64::from(beat);
            (
                scheduled_s,
                scheduled_s + delay_s + spread_s * chance.normal(),
            )
        })
        .collect()
}

#[test]
fn a_speakers_delay_is_measured_by_tapping_along() {
    for (seed, delay_s) in [(1, 0.0), (2, 0.15), (3, 0.25), (4, 0.5)] {
        let measured = Delay::of(&taps(delay_s, 0.02, 16, seed)).unwrap();
        let off_s = (measured.setting_s() - delay_s).abs();
        assert!(off_s < 0.02, "seed {seed}: {measured:?}");
        assert!((measured.spread_s - 0.02).abs() < 0.015, "seed {seed}");
    }
}

#[test]
fn a_tap_that_was_missed_does_not_move_the_delay() {
    let mut pairs = taps(0.2, 0.01, 12, 5);
    let before = Delay::of(&pairs).unwrap();
    pairs[3].1 += 0.4;
    pairs[7].1 += 0.3;
    let after = Delay::of(&pairs).unwrap();
    assert!((after.offset_s - before.offset_s).abs() < 0.01);
}

#[test]
fn who_taps_early_taps_early_on_both_speakers() {
    let own = Delay::of(&taps(-0.04, 0.01, 12, 6)).unwrap();
    assert_eq!(own.setting_s(), 0.0, "a delay is never below nothing");
    let wireless = Delay::of(&taps(0.16, 0.01, 12, 7)).unwrap();
    assert!((wireless.beyond(&own) - 0.2).abs() < 0.02);
    assert!(wireless.sentence().contains("12 taps"));
}

#[test]
fn taps_that_are_few_scattered_or_out_of_range_measure_nothing() {
    assert_eq!(
        Delay::of(&taps(0.2, 0.01, 5, 8)),
        Err(TempoError::DelayFew { more: 3 })
    );
    assert_eq!(
        Delay::of(&taps(0.2, 0.12, 16, 9)),
        Err(TempoError::DelayScattered)
    );
    for delay_s in [0.8, -0.3] {
        assert_eq!(
            Delay::of(&taps(delay_s, 0.01, 16, 10)),
            Err(TempoError::DelayRange)
        );
    }
    assert_eq!(checked_delay_s(0.25), Ok(0.25));
    for delay_s in [-0.01, 0.61, f64::NAN] {
        assert_eq!(checked_delay_s(delay_s), Err(TempoError::DelayRange));
    }
    assert_eq!(
        TempoError::DelayRange.to_string(),
        "Speaker delay: 0 to 0.6 s are allowed, and the taps gave another. The delay from before is kept."
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn slices_that_follow_each_other_give_every_cue_once_and_in_order(
        seconds in 1.0..=3.0_f64,
        beats in 1..=8_u8,
        reps in 1..=30_u8,
        feed_after_lift_s in -4.0..1.0_f64,
        chances in prop::collection::vec(0.0..=1.0_f64, 30),
        step_s in 0.02..3.0_f64,
    ) {
        let rungs = [rung(Environment::Machine, Mode::Silent, reps)];
        let table = Timetable::of(&Plan {
            target: target(seconds),
            beats,
            delivery: Some(Delivery { feed_after_lift_s, longest_wait_s: 3.0, chances: &chances }),
            ..plan(&rungs)
        }).unwrap();
        let mut given = Vec::new();
        let mut from_s = 0.0;
        while from_s <= table.ends_s() {
            given.extend_from_slice(table.between(from_s, from_s + step_s));
            from_s += step_s;
        }
        prop_assert_eq!(given.as_slice(), table.cues());
        prop_assert!(table.cues().windows(2).all(|pair| pair[0].at_s <= pair[1].at_s));
        prop_assert_eq!(table.cues().len(), usize::from(reps) * (4 + usize::from(beats)));
        let last = table.cues().last().unwrap();
        prop_assert!(last.kind == Kind::Rest && last.at_s < table.ends_s());
        prop_assert!(table.between(5.0, 4.0).is_empty());
    }
}

#[test]
fn a_late_tapper_measures_a_late_speaker_by_the_difference_to_the_phones_own() {
    let taps = |late_s: f64| -> Vec<(f64, f64)> {
        (0..9)
            .map(|n| f64::from(n) * 0.75)
            .map(|at_s| (at_s, at_s + late_s))
            .collect()
    };
    let refused = Delay::of(&taps(0.65));
    assert_eq!(refused, Err(TempoError::DelayRange));
    let (other, own) = (Delay::tapped(&taps(0.65)), Delay::tapped(&taps(0.08)));
    let beyond_s = other.unwrap().beyond(&own.unwrap());
    assert!((checked_delay_s(beyond_s).unwrap() - 0.57).abs() < 1e-9);
    assert!(
        Delay::tapped(&taps(0.1)[..5]).is_err(),
        "too few all the same"
    );
}
