//! Chance from a seed: the same on every machine.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};

/// A seeded generator.
#[derive(Debug, Clone)]
pub(super) struct Chance(Xoshiro256PlusPlus);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// From 0 to 1.
    pub(super) fn unit(&mut self) -> f64 {
        self.0.random::<f64>()
    }

    /// A whole number of seconds from `low` to `high`.
    pub(super) fn seconds(&mut self, low: u64, high: u64) -> u64 {
        self.0.random_range(low..=high)
    }

    /// Nearly normal with mean 0 and standard deviation 1: the sum of twelve uniform numbers less
    /// six. No transcendental functions, whose last digits differ between machines.
    pub(super) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn prop_normal_has_mean_nothing_and_deviation_one() {
        let mut chance = Chance::new(7);
        let draws: Vec<f64> = (0..20_000).map(|_| chance.normal()).collect();
        let mean = draws.iter().sum::<f64>() / 20_000.0;
        let variance = draws.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 20_000.0;
        assert!(mean.abs() < 0.03 && (variance - 1.0).abs() < 0.05, "{mean} {variance}");
    }
}
