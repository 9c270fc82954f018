//! Sharp sounds in blocks of samples: when each begins. No browser here, and no
//! sample is kept beyond the block after it.

/// Samples looked at together: 2.7 ms at 48 kHz.
const HOP: usize = 128;
/// A sound must be this many times as strong as what goes on, in power (our
/// choice, no source): a machine's hum goes on.
const ABOVE: f32 = 14.0;
/// After one, nothing is another for this long, s: echoes, the ball in the net.
const DEAF_S: f64 = 0.15;
/// Quieter than this is no contact, power of the sharpened sound.
const LEAST: f32 = 1e-7;
/// Of the quieter of two calibrated balls, in power: half its height.
const OF_QUIETER: f32 = 0.25;

/// A sound that was heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heard {
    /// When it began, on the clock of the blocks, s.
    pub at_s: f64,
    /// How strong, in power of the sharpened sound.
    pub strength: f32,
}

/// Listens to one run of blocks.
#[derive(Debug, Clone)]
pub struct Ear {
    floor: f32,
    least: f32,
    before: f32,
    deaf_until_s: f64,
    /// When the floor is known, s.
    knows_from_s: Option<f64>,
}

impl Default for Ear {
    fn default() -> Self {
        Self {
            floor: 0.0,
            least: LEAST,
            before: 0.0,
            deaf_until_s: 0.0,
            knows_from_s: None,
        }
    }
}

impl Ear {
    /// From two balls (or more): half the height of the quietest is the least that
    /// counts. False, and nothing changed, below two.
    pub fn calibrate(&mut self, balls: &[Heard]) -> bool {
        let quietest = balls
            .iter()
            .map(|ball| ball.strength)
            .fold(f32::INFINITY, f32::min);
        if balls.len() >= 2 {
            self.least = (quietest * OF_QUIETER).max(LEAST);
        }
        balls.len() >= 2
    }

    /// What began in a block that begins at `at_s`, of `rate_hz` samples a second.
    pub fn hear(&mut self, at_s: f64, rate_hz: f64, samples: &[f32]) -> Vec<Heard> {
        let mut heard = Vec::new();
        for (hop, samples) in samples.chunks(HOP).enumerate() {
            let from_s = at_s + (hop * HOP) as f64 / rate_hz;
            // Sharpened by the difference of neighbours: a click more than a hum.
            let mut before = self.before;
            let sharp: Vec<f32> = samples
                .iter()
                .map(|sample| {
                    let step = sample - before;
                    before = *sample;
                    step * step
                })
                .collect();
            self.before = before;
            let power = sharp.iter().sum::<f32>() / sharp.len() as f32;
            let knows_from_s = *self.knows_from_s.get_or_insert(from_s + 0.3);
            let stands_out = power > self.least && power > ABOVE * self.floor;
            if stands_out && from_s >= self.deaf_until_s && from_s >= knows_from_s {
                let loudest = sharp.iter().copied().fold(0.0, f32::max);
                let first = sharp
                    .iter()
                    .position(|power| *power > 0.1 * loudest)
                    .unwrap_or(0);
                heard.push(Heard {
                    at_s: from_s + first as f64 / rate_hz,
                    strength: power,
                });
                self.deaf_until_s = from_s + DEAF_S;
            }
            // Quickly down and slowly up, and a click hardly at all.
            let share = if power < self.floor { 0.1 } else { 0.01 };
            let counted = if from_s < knows_from_s {
                power
            } else {
                power.min(4.0 * self.floor + 1e-9)
            };
            self.floor += share * (counted - self.floor);
        }
        heard
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE_HZ: f64 = 48_000.0;

    fn noise(state: &mut u64) -> f32 {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((*state >> 40) as f32 / 8_388_608.0) - 1.0
    }

    /// Hum, noise, and clicks that fade within 10 ms, at known times.
    fn heard_in(clicks_s: &[f64], noise_level: f32, hum: f32) -> Vec<Heard> {
        let mut state = 6;
        let samples: Vec<f32> = (0..(RATE_HZ as usize * 6))
            .map(|n| {
                let at_s = n as f64 / RATE_HZ;
                let click: f64 = clicks_s
                    .iter()
                    .filter(|click| at_s >= **click && at_s < **click + 0.02)
                    .map(|click| {
                        let since = at_s - click;
                        0.5 * (-since / 0.003).exp() * (since * 2_500.0 * 6.283).cos()
                    })
                    .sum();
                let hum = hum * (at_s * 120.0 * 6.283).sin() as f32;
                click as f32 + hum + noise_level * noise(&mut state)
            })
            .collect();
        let mut ear = Ear::default();
        samples
            .chunks(512)
            .enumerate()
            .flat_map(|(block, samples)| ear.hear((block * 512) as f64 / RATE_HZ, RATE_HZ, samples))
            .collect()
    }

    #[test]
    fn clicks_are_heard_within_ten_milliseconds_over_noise_and_hum() {
        let clicks_s = [1.0, 2.3, 3.111, 4.9];
        for (noise_level, hum) in [(0.0, 0.0), (0.03, 0.0), (0.02, 0.3)] {
            let heard = heard_in(&clicks_s, noise_level, hum);
            assert_eq!(heard.len(), clicks_s.len(), "{heard:?}");
            for (heard, click_s) in heard.iter().zip(clicks_s) {
                assert!(
                    (heard.at_s - click_s).abs() < 0.010,
                    "{heard:?} for {click_s}"
                );
            }
        }
    }

    #[test]
    fn a_hum_or_noise_alone_is_no_contact() {
        assert_eq!(heard_in(&[], 0.1, 0.4), []);
    }

    #[test]
    fn two_balls_set_the_least_and_one_does_not() {
        let ball = |strength| Heard {
            at_s: 0.0,
            strength,
        };
        let mut ear = Ear::default();
        assert!(!ear.calibrate(&[ball(0.4)]));
        assert!(ear.calibrate(&[ball(0.4), ball(0.2)]));
        assert!((ear.least - 0.05).abs() < 1e-6);
    }
}
