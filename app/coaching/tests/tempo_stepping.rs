//! Marks on a clip, with what the frames hide.

mod tempo_chance;

use coaching::count::CountError;
use coaching::tempo::TempoError;
use coaching::tempo::stepping::{Clip, Marks};
use tempo_chance::Chance;

const PLAIN: Clip = Clip {
    frames_a_second: 60.0,
    slowed: 1.0,
};

const MARKS: Marks = Marks {
    lift_s: 2.0,
    foot_down_s: Some(3.1),
    contact_s: 3.4,
};

#[test]
fn a_count_from_a_clip_is_good_to_a_frame() {
    let found = PLAIN.intervals(MARKS).unwrap();
    assert!((found.count.seconds - 1.4).abs() < 1e-9);
    // Half a frame for each mark, by hand: 1.4 s plus and minus 16.7 ms.
    assert!((found.count.within.low_s - 1.383_333).abs() < 1e-6);
    assert!((found.count.within.high_s - 1.416_667).abs() < 1e-6);
    let down = found.foot_down_to_contact.unwrap();
    assert!((down.seconds - 0.3).abs() < 1e-9);
    assert_eq!(
        found.sentence(),
        "Lift to contact 1.400 s (by the frames 1.383 to 1.417 s). Foot down to contact 0.300 s (by the frames 0.283 to 0.317 s)."
    );
    let without = PLAIN
        .intervals(Marks {
            foot_down_s: None,
            ..MARKS
        })
        .unwrap();
    assert_eq!(without.foot_down_to_contact, None);
}

#[test]
fn a_slowed_clip_is_told_in_seconds_of_life() {
    let slow = Clip {
        frames_a_second: 240.0,
        slowed: 8.0,
    };
    let found = slow
        .intervals(Marks {
            lift_s: 16.0,
            foot_down_s: Some(24.8),
            contact_s: 27.2,
        })
        .unwrap();
    assert!((found.count.seconds - 1.4).abs() < 1e-9);
    assert!((found.count.within.high_s - 1.404_167).abs() < 1e-6);
}

#[test]
fn the_uncertainty_is_what_chance_gives() {
    // Lift and contact at any moment of their frames, 100,000 times.
    let seed = 21;
    let mut chance = Chance(seed);
    let (mut squares, mut outside) = (0.0, 0);
    let found = PLAIN.intervals(MARKS).unwrap().count;
    for _ in 0..100_000 {
        let off_s = (chance.unit() - chance.unit()) / 60.0;
        squares += off_s * off_s;
        outside += u32::from(!found.within.holds(found.seconds + off_s));
    }
    let sd_s = (squares / 1e5_f64).sqrt();
    assert!(
        (sd_s / found.uncertainty_s - 1.0).abs() < 0.01,
        "seed {seed}: {sd_s}"
    );
    assert_eq!(outside, 0, "seed {seed}");
}

#[test]
fn marks_and_clips_that_cannot_be_are_refused() {
    for (frames_a_second, slowed) in [(5.0, 1.0), (2_000.0, 1.0), (60.0, 0.5), (f64::NAN, 1.0)] {
        let clip = Clip {
            frames_a_second,
            slowed,
        };
        assert_eq!(clip.intervals(MARKS), Err(TempoError::Frames));
    }
    for foot_down_s in [1.9, 3.5, f64::NAN] {
        let marks = Marks {
            foot_down_s: Some(foot_down_s),
            ..MARKS
        };
        assert_eq!(PLAIN.intervals(marks), Err(TempoError::FootDown));
    }
    let turned = Marks {
        lift_s: 3.4,
        foot_down_s: None,
        contact_s: 2.0,
    };
    assert!(matches!(
        PLAIN.intervals(turned),
        Err(TempoError::Count(CountError::TooShort { .. }))
    ));
    assert!(TempoError::Frames.to_string().contains("10 to 1000 frames"));
}
