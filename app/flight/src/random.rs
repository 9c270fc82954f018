//! A small generator of random numbers from a seed, so that the same question
//! has the same answer on every device. Not for secrets.

/// SplitMix64. Source: Steele, Lea, Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014.
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn from_seed(seed: u64) -> Random {
        Random(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Evenly from 0 to below 1.
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From the normal distribution of mean 0 and standard deviation 1, by the
    /// method of Box and Muller.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.share()).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_is_splitmix64() {
        // Source: the sequence of the published C code from seed 1234567.
        let mut random = Random::from_seed(1_234_567);
        let said = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
        ];
        for said in said {
            assert_eq!(random.next(), said);
        }
    }

    #[test]
    fn normal_numbers_have_the_mean_spread_and_tails_of_the_normal_distribution() {
        let mut random = Random::from_seed(3);
        let numbers: Vec<f64> = (0..40_000).map(|_| random.normal()).collect();
        let count = numbers.len() as f64;
        let mean = numbers.iter().sum::<f64>() / count;
        let square = numbers.iter().map(|n| n * n).sum::<f64>() / count;
        let outside = numbers.iter().filter(|n| n.abs() > 1.644_854).count() as f64 / count;
        assert!(mean.abs() < 0.02 && (square - 1.0).abs() < 0.03);
        assert!((outside - 0.1).abs() < 0.006, "{outside}");
    }
}
