//! Chance from a fixed seed: the same draws for every forecast.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;

/// A seeded generator.
#[derive(Debug, Clone)]
pub(crate) struct Chance(Xoshiro256PlusPlus);

impl Chance {
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// From 0 to 1.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0.random::<f64>()
    }

    /// Normal with mean 0 and standard deviation 1.
    pub(crate) fn normal(&mut self) -> f64 {
        self.0.sample(StandardNormal)
    }
}
