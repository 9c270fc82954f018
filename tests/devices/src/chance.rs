//! Randomness from a number: the same history in every run.

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng, TryCryptoRng, TryRng};
use std::convert::Infallible;

/// A source of chances that one number determines.
#[derive(Clone)]
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The chances that `number` determines.
    #[must_use]
    pub fn of(number: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(number))
    }

    /// One of 0 to `count` - 1.
    ///
    /// # Panics
    /// When `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        let drawn = self.0.next_u64() % u64::try_from(count).expect("a small count");
        usize::try_from(drawn).expect("below a small count")
    }

    /// True in `percent` of a hundred cases.
    pub fn percent(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of these.
    pub fn one_of<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    /// Sixteen random bytes.
    pub fn sixteen(&mut self) -> [u8; 16] {
        let mut bytes = [0; 16];
        self.0.fill_bytes(&mut bytes);
        bytes
    }
}

impl TryRng for Chance {
    type Error = Infallible;
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok(self.0.next_u32())
    }
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.0.next_u64())
    }
    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        self.0.fill_bytes(bytes);
        Ok(())
    }
}

impl TryCryptoRng for Chance {}
