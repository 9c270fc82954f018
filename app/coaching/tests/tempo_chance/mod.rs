//! A small generator of chance from a seed, for the tests of the tempo
//! (xorshift64*, Vigna 2016, from memory). A seed of 0 gives only zeros.

// Each test file takes what it needs of it.
#![allow(dead_code)]

/// The state; begin with the seed.
pub struct Chance(pub u64);

impl Chance {
    /// Evenly from 0 to below 1.
    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normal of mean 0 and standard deviation 1, by Box and Muller.
    pub fn normal(&mut self) -> f64 {
        let away = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        away * (std::f64::consts::TAU * self.unit()).cos()
    }
}
