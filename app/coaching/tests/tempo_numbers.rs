//! A set's numbers, drift, the same tempo, a spoken count and the pace: against
//! SciPy and statsmodels, and in words.

mod tempo_chance;

use coaching::count::{SetStats, Target};
use coaching::tempo::TempoError;
use coaching::tempo::cannot::Cannot;
use coaching::tempo::drift::{Difference, Trend};
use coaching::tempo::numbers::SetNumbers;
use coaching::tempo::pace::{Pace, Paced};
use coaching::tempo::same::{Band, Compared, Verdict};
use coaching::tempo::spoken::Spoken;
use proptest::prelude::*;
use serde::Deserialize;
use tempo_chance::Chance;

#[derive(Deserialize)]
struct Table {
    made_by: String,
    sets: Vec<Set>,
    pairs: Vec<Pair>,
    trends: Vec<Line>,
}

#[derive(Deserialize)]
struct Set {
    counts_s: Vec<f64>,
    variation: f64,
    low_s: f64,
    high_s: f64,
    far_off: Vec<usize>,
}

#[derive(Deserialize)]
struct Pair {
    earlier_s: Vec<f64>,
    later_s: Vec<f64>,
    band_s: f64,
    freedom: f64,
    low_95_s: f64,
    high_95_s: f64,
    low_90_s: f64,
    high_90_s: f64,
    p_difference: f64,
    p_same: f64,
}

#[derive(Deserialize)]
struct Line {
    sets_s: Vec<Vec<f64>>,
    slope_s: f64,
    low_s: f64,
    high_s: f64,
}

fn table() -> Table {
    serde_json::from_str(include_str!("tempo_numbers_table.json")).expect("a table")
}

fn near(ours: f64, theirs: f64, what: &str) {
    let off = (ours - theirs).abs();
    assert!(
        off <= 1e-9 * theirs.abs().max(1e-3),
        "{what}: {ours} against {theirs}"
    );
}

fn set(counts_s: &[f64]) -> SetStats {
    SetStats::of(counts_s).expect("counts")
}

/// A set of so many counts of this mean that lie `off` to either side in turn.
fn around(mean_s: f64, off_s: f64, n: usize) -> SetStats {
    let counts_s: Vec<f64> = (0..n)
        .map(|place| mean_s + if place % 2 == 0 { off_s } else { -off_s })
        .collect();
    set(&counts_s)
}

#[test]
fn a_sets_interval_variation_and_far_off_counts_are_as_in_scipy_and_statsmodels() {
    let table = table();
    assert!(table.made_by.contains("statsmodels"));
    assert_eq!(table.sets.len(), 6);
    for theirs in table.sets {
        let ours = SetNumbers::of(&theirs.counts_s).unwrap();
        let within = ours.mean_within.unwrap();
        near(within.low_s, theirs.low_s, "low");
        near(within.high_s, theirs.high_s, "high");
        near(ours.variation.unwrap(), theirs.variation, "variation");
        assert_eq!(ours.far_off, theirs.far_off, "{:?}", theirs.counts_s);
        assert_eq!(ours.set, set(&theirs.counts_s), "all counts stay in");
    }
}

#[test]
fn differences_of_two_sets_are_as_in_scipy() {
    let pairs = table().pairs;
    assert_eq!(pairs.len(), 7);
    for theirs in pairs {
        let ours = Difference::of(&set(&theirs.earlier_s), &set(&theirs.later_s)).unwrap();
        near(ours.freedom, theirs.freedom, "freedom");
        for (share, low_s, high_s) in [
            (0.95, theirs.low_95_s, theirs.high_95_s),
            (0.90, theirs.low_90_s, theirs.high_90_s),
        ] {
            near(ours.within(share).low_s, low_s, "low");
            near(ours.within(share).high_s, high_s, "high");
        }
        let says = !ours.sentence().starts_with("No difference");
        assert_eq!(says, theirs.p_difference < 0.05, "{}", ours.sentence());
    }
}

#[test]
fn the_two_one_sided_tests_are_as_in_statsmodels() {
    let mut found = Vec::new();
    for theirs in table().pairs {
        let band = Band::new(theirs.band_s).unwrap();
        let ours = Compared::of(&set(&theirs.earlier_s), &set(&theirs.later_s), band).unwrap();
        near(ours.p, theirs.p_same, "p");
        let is_same = ours.verdict == Verdict::Same;
        assert_eq!(is_same, theirs.p_same < 0.05);
        // Two tests at 5 percent are the 90 percent interval within the band.
        let fits = -theirs.band_s < theirs.low_90_s && theirs.high_90_s < theirs.band_s;
        assert_eq!(is_same, fits);
        found.push(ours.verdict);
    }
    for verdict in [
        Verdict::Same,
        Verdict::Apart,
        Verdict::Differs,
        Verdict::CannotTell,
    ] {
        assert!(found.contains(&verdict), "{verdict:?} is not in the table");
    }
}

#[test]
fn the_line_over_sets_is_as_in_scipy() {
    for theirs in table().trends {
        let sets: Vec<SetStats> = theirs.sets_s.iter().map(|counts_s| set(counts_s)).collect();
        let ours = Trend::of(&sets).unwrap();
        near(ours.slope_s, theirs.slope_s, "slope");
        near(ours.within().low_s, theirs.low_s, "low");
        near(ours.within().high_s, theirs.high_s, "high");
    }
}

#[test]
fn one_count_far_from_the_others_is_marked_and_kept() {
    let numbers = SetNumbers::of(&[1.42, 1.38, 1.45, 1.40, 2.41, 1.39, 1.44]).unwrap();
    assert_eq!(numbers.far_off, [4]);
    assert_eq!(numbers.set.n, 7);
    let said = numbers.sentence();
    assert!(said.starts_with("7 counts, mean 1.56 s"), "{said}");
    assert!(
        said.contains("Far from the others, and kept: rep 5. Check what happened there."),
        "{said}"
    );
    let even = SetNumbers::of(&[1.42, 1.38, 1.45, 1.40, 1.41]).unwrap();
    assert_eq!(
        even.sentence(),
        "5 counts, mean 1.41 s, spread 0.03 s: steady. The mean lies between 1.38 and 1.44 s (95 percent interval); the spread is 1.8 percent of it."
    );
}

#[test]
fn too_few_reps_are_told_with_how_many_more() {
    let few = SetNumbers::of(&[1.4, 1.5]).unwrap();
    assert!(few.sentence().ends_with("Not yet: 3 more reps."));
    assert!(few.far_off.is_empty());
    let cannot = Difference::of(&around(1.4, 0.1, 4), &around(1.5, 0.1, 5)).unwrap_err();
    assert_eq!(
        cannot.sentence(),
        "Not yet: 1 more rep in the first set. So far 4 and 5."
    );
    let cannot = Difference::of(&around(1.4, 0.1, 3), &around(1.5, 0.1, 1)).unwrap_err();
    assert_eq!(
        cannot.sentence(),
        "Not yet: 2 more reps in the first set and 4 more reps in the second. So far 3 and 1."
    );
    let two = [
        around(1.4, 0.1, 6),
        around(1.4, 0.1, 6),
        around(1.4, 0.1, 4),
    ];
    assert_eq!(
        Trend::of(&two).unwrap_err().sentence(),
        "Not yet: 2 more sets of 5 reps or more."
    );
    let few = Paced::of(&around(1.4, 0.1, 2), target(1.4), Band::USUAL).unwrap_err();
    assert_eq!(few.sentence(), "Not yet: 3 more reps. So far 2.");
}

#[test]
fn sets_without_any_spread_prove_nothing() {
    let same = set(&[1.4; 8]);
    assert_eq!(Difference::of(&same, &same), Err(Cannot::NoSpread));
    assert_eq!(
        Compared::of(&same, &same, Band::USUAL),
        Err(Cannot::NoSpread)
    );
    assert_eq!(Trend::of(&[same; 6]), Err(Cannot::NoSpread));
    assert_eq!(
        Paced::of(&same, target(1.4), Band::USUAL),
        Err(Cannot::NoSpread)
    );
    assert_eq!(SetNumbers::of(&[1.4; 8]).unwrap().mean_within, None);
}

#[test]
fn drift_says_which_way_and_how_many_counts() {
    let shorter = Difference::of(&around(1.6, 0.05, 8), &around(1.4, 0.05, 10)).unwrap();
    let said = shorter.sentence();
    assert!(
        said.starts_with("The later set is 0.20 s shorter than the earlier (95 percent interval"),
        "{said}"
    );
    assert!(said.contains("8 and 10 counts"), "{said}");
    let sets = [1.4, 1.46, 1.49, 1.56, 1.6].map(|mean_s| around(mean_s, 0.05, 6));
    let mut with_short = sets.to_vec();
    with_short.push(around(0.5, 0.1, 3));
    let said = Trend::of(&with_short).unwrap().sentence();
    assert!(
        said.starts_with("The count drifts: 0.05 s longer from set to set"),
        "{said}"
    );
    assert!(
        said.contains("30 counts in 5 sets, 1 left out with fewer than 5 counts"),
        "{said}"
    );
}

#[test]
fn the_verdicts_are_said_in_words_with_both_n() {
    let of = |later_s: f64, off_s: f64| {
        Compared::of(
            &around(1.4, off_s, 8),
            &around(later_s, off_s, 8),
            Band::USUAL,
        )
        .unwrap()
    };
    let same = of(1.42, 0.03);
    assert!(
        same.sentence()
            .starts_with("The same tempo within 0.10 s: the later set is 0.02 s longer (90"),
        "{}",
        same.sentence()
    );
    assert_eq!(same.more_reps(), None);
    let apart = of(1.8, 0.03).sentence();
    assert!(
        apart.starts_with("The tempo differs by more than 0.10 s: the later set is 0.40 s longer"),
        "{apart}"
    );
    let open = of(1.45, 0.1);
    assert_eq!(open.verdict, Verdict::CannotTell);
    let said = open.sentence();
    assert!(said.contains("cannot be told yet"), "{said}");
    assert!(said.contains("8 and 8 counts"), "{said}");
    let more = open.more_reps().unwrap();
    assert!(said.contains(&format!("about {more} more reps")), "{said}");
}

#[test]
fn as_many_more_reps_as_said_do_find_the_same_tempo() {
    let open = Compared::of(&around(1.4, 0.1, 8), &around(1.45, 0.1, 8), Band::USUAL).unwrap();
    let more = open.more_reps().unwrap();
    let then = |n| {
        Compared::of(&around(1.4, 0.1, n), &around(1.45, 0.1, n), Band::USUAL)
            .unwrap()
            .verdict
    };
    // An odd set has a mean a little to one side.
    assert_eq!(then((8 + more).next_multiple_of(2) + 2), Verdict::Same);
    assert_eq!(then((8 + more) / 2 * 2 - 4), Verdict::CannotTell);
    let never = Compared::of(&around(1.4, 0.1, 8), &around(1.51, 0.1, 8), Band::USUAL).unwrap();
    assert_eq!(never.more_reps(), None, "means are not within the band");
}

#[test]
fn a_false_finding_of_the_same_tempo_is_as_rare_as_promised() {
    // The truth is at the very end of the band: 1 in 20 may be said to be the same,
    // and a difference of nothing may be said to be one in 1 of 20. Of 4,000, the
    // shares are sure to 1 percent (3 standard errors).
    let seed = 11;
    let mut chance = Chance(seed);
    let mut draw = |mean_s: f64, sd_s: f64, n: usize| {
        let counts_s: Vec<f64> = (0..n).map(|_| mean_s + sd_s * chance.normal()).collect();
        set(&counts_s)
    };
    let (mut same, mut differs, mut covered) = (0, 0, 0);
    for _ in 0..4_000 {
        let (earlier, edge) = (draw(1.4, 0.04, 8), draw(1.5, 0.08, 12));
        let compared = Compared::of(&earlier, &edge, Band::USUAL).unwrap();
        same += u32::from(compared.verdict == Verdict::Same);
        covered += u32::from(compared.difference.within(0.95).holds(0.1));
        let alike = Difference::of(&earlier, &draw(1.4, 0.08, 12)).unwrap();
        differs += u32::from(!alike.within(0.95).holds(0.0));
    }
    let share = |n: u32| f64::from(n) / 4_000.0;
    println!("{} {} {}", share(same), share(differs), share(covered));
    assert!(share(same) < 0.06, "seed {seed}: {}", share(same));
    assert!(
        (0.04..0.06).contains(&share(differs)),
        "seed {seed}: {}",
        share(differs)
    );
    assert!(
        (0.94..0.96).contains(&share(covered)),
        "seed {seed}: {}",
        share(covered)
    );
}

#[test]
fn a_band_outside_its_range_is_refused_with_the_range() {
    for band_s in [0.0, 0.01, 0.6, -0.1, f64::NAN] {
        assert_eq!(Band::new(band_s), Err(TempoError::Band));
    }
    assert_eq!(
        TempoError::Band.to_string(),
        "Band: 0.02 to 0.5 s are allowed. The band from before is kept."
    );
}

fn target(seconds: f64) -> Target {
    Target::new(seconds).unwrap()
}

/// Two spoken counts of four, half a second a beat.
fn spoken() -> Spoken {
    Spoken::of(&[
        &[0.0, 490.0, 1_000.0, 1_510.0],
        &[9_000.0, 9_500.0, 9_990.0, 10_490.0],
    ])
    .unwrap()
}

#[test]
fn a_spoken_count_is_calibrated_and_converts_both_ways() {
    let spoken = spoken();
    assert_eq!(spoken.beat.n, 6, "the pause between two counts is no beat");
    assert!((spoken.beat.mean_s - 0.5).abs() < 1e-9);
    assert!((spoken.seconds_of(3.0) - 1.5).abs() < 1e-9);
    assert!((spoken.beats_of(1.5).beats - 3.0).abs() < 1e-9);
    let within = spoken.seconds_within(3.0);
    assert!(within.low_s < 1.5 && 1.5 < within.high_s);
    let beats = spoken.beats_of(1.5);
    assert!((spoken.seconds_of(beats.low) - 1.5).abs() < 0.05);
    assert!(beats.low < 3.0 && 3.0 < beats.high);
    // Four beats by chance spread twice as far as one.
    let twice = spoken.one_count_sd_s(4.0) / spoken.one_count_sd_s(1.0);
    assert!((twice - 2.0).abs() < 1e-12);
    assert_eq!(
        spoken.sentence(),
        "One spoken beat takes 0.50 s (95 percent interval 0.49 to 0.51 s, spread 0.01 s, 6 beats)."
    );
}

#[test]
fn a_spoken_count_of_too_few_or_odd_taps_is_refused() {
    let few = Spoken::of(&[&[0.0, 500.0, 1_000.0]]);
    assert_eq!(few, Err(TempoError::SpokenFew { more: 3 }));
    assert_eq!(Spoken::of(&[]), Err(TempoError::SpokenFew { more: 5 }));
    for odd_ms in [50.0, -500.0, 5_000.0, f64::NAN] {
        let taps = [0.0, odd_ms, 1_000.0, 1_500.0, 2_000.0, 2_500.0];
        assert_eq!(Spoken::of(&[&taps]), Err(TempoError::SpokenTaps));
    }
}

#[test]
fn a_hitter_who_rushes_is_offered_a_longer_count() {
    let paced = Paced::of(&around(1.2, 0.03, 8), target(1.5), Band::USUAL).unwrap();
    assert_eq!(
        paced.pace,
        Pace::Rushes {
            offer: Some(target(1.8))
        }
    );
    assert_eq!(
        paced.sentence(Some(&spoken())),
        "The hitter rushes by more than 0.10 s: mean 1.20 s against 1.50 s, 95 percent interval 1.17 to 1.23 s, 8 counts. Try a longer count: 1.8 s, about 3.6 of the coach's spoken beats."
    );
    let far = Paced::of(&around(0.6, 0.03, 8), target(1.5), Band::USUAL).unwrap();
    assert_eq!(
        far.pace,
        Pace::Rushes {
            offer: Some(target(2.0))
        },
        "not more than half a second at once"
    );
    let longest = Paced::of(&around(2.5, 0.03, 8), target(3.0), Band::USUAL).unwrap();
    assert_eq!(longest.pace, Pace::Rushes { offer: None });
    assert!(longest.sentence(None).contains("the longest count already"));
}

#[test]
fn nothing_is_offered_to_who_does_not_surely_rush() {
    let pace = |mean_s: f64, off_s: f64| {
        Paced::of(&around(mean_s, off_s, 8), target(1.5), Band::USUAL)
            .unwrap()
            .pace
    };
    assert_eq!(pace(1.48, 0.03), Pace::OnTarget);
    assert_eq!(pace(1.39, 0.05), Pace::CannotTell);
    assert_eq!(pace(1.2, 0.5), Pace::CannotTell);
    assert_eq!(pace(1.8, 0.05), Pace::Late);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_wider_band_never_takes_the_same_tempo_back(
        earlier in prop::collection::vec(1.0..2.0_f64, 5..20),
        later in prop::collection::vec(1.0..2.0_f64, 5..20),
        narrow_s in 0.02..0.5_f64,
        more_s in 0.0..0.4_f64,
    ) {
        let of = |band_s: f64| Compared::of(
            &set(&earlier), &set(&later), Band::new(band_s.min(0.5)).unwrap()
        ).unwrap();
        if of(narrow_s).verdict == Verdict::Same {
            prop_assert_eq!(of(narrow_s + more_s).verdict, Verdict::Same);
        }
    }

    #[test]
    fn an_offer_is_longer_than_the_target_and_in_its_range(
        counts_s in prop::collection::vec(0.2..3.0_f64, 5..20),
        seconds in 1.0..=3.0_f64,
        band_s in 0.02..=0.5_f64,
    ) {
        let target = target(seconds);
        let paced = Paced::of(&set(&counts_s), target, Band::new(band_s).unwrap()).unwrap();
        if let Pace::Rushes { offer: Some(offer) } = paced.pace {
            prop_assert!(offer > target && offer.seconds() <= Target::HIGH_S);
        }
    }
}
