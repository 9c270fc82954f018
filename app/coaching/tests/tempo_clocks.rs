//! Two clocks, one of which stops: checked against simulated ones.

use coaching::tempo::clocks::Clocks;
use proptest::prelude::*;

/// Blocks of the sound as a page gets them.
const BLOCK_S: f64 = 512.0 / 48_000.0;

#[test]
fn nothing_is_known_before_the_first_reading() {
    let mut clocks = Clocks::default();
    assert_eq!(clocks.page_s(1.0), None);
    clocks.read(f64::NAN, 1.0);
    assert_eq!(clocks.page_s(1.0), None);
    clocks.read(5.0, 1.0);
    assert_eq!(clocks.page_s(2.0), Some(6.0));
}

proptest! {
    /// The page reads a block late by up to 200 ms, and in time at least every 0.22 s;
    /// the sound stops once. Half a second later a time is right again.
    #[test]
    fn a_time_is_right_half_a_second_after_the_sound_had_stopped(
        begins_s in 0.0..1e5f64,
        stops_s in 0.02..300.0f64,
        late_s in prop::collection::vec(0.0..0.2f64, 400),
        stops_at in 50usize..200,
    ) {
        let mut clocks = Clocks::default();
        let mut page_s = begins_s;
        for (n, late_s) in late_s.iter().enumerate() {
            page_s += BLOCK_S;
            if n == stops_at {
                page_s += stops_s;
            }
            let late_s = if n % 20 == 0 { 0.0 } else { *late_s };
            let sound_s = n as f64 * BLOCK_S;
            clocks.read(page_s + late_s, sound_s);
            let since_stop = n.checked_sub(stops_at).map(|blocks| blocks as f64 * BLOCK_S);
            // 200 ms of lateness, and one span of reading.
            let settled = since_stop.is_none_or(|it| it > Clocks::COUNTS_S + 0.2);
            if n > 0 && settled {
                let told_s = clocks.page_s(sound_s).unwrap();
                prop_assert!((told_s - page_s).abs() < 1e-6, "{} s at {n}", told_s - page_s);
            }
        }
    }
}
