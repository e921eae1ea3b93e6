//! Chance from a seed, in the shapes in which a still, its owner and the weather vary.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;

/// Noise of a probe from reading to reading, K (judgement).
pub(super) const NOISE_K: f64 = 0.03;

/// A seeded generator.
#[derive(Debug, Clone)]
pub(super) struct Chance(Xoshiro256PlusPlus);

impl Chance {
    /// Of the run `place` of a collection.
    pub(super) fn new(seed: u64, place: usize) -> Self {
        // Seeds are spread by the generator's own start; the odd factor keeps collections apart.
        let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(place as u64);
        Self(Xoshiro256PlusPlus::seed_from_u64(mixed))
    }

    /// Evenly between two bounds.
    pub(super) fn between(&mut self, (low, high): (f64, f64)) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    /// Evenly in the logarithm, for sizes.
    pub(super) fn size_between(&mut self, (low, high): (f64, f64)) -> f64 {
        self.between((low.ln(), high.ln())).exp()
    }

    /// Normal with mean 0.
    pub(super) fn normal(&mut self, sd: f64) -> f64 {
        sd * self.0.sample::<f64, _>(StandardNormal)
    }

    /// A factor about 1: log-normal.
    pub(super) fn factor(&mut self, sd: f64) -> f64 {
        self.normal(sd).exp()
    }

    /// Whether something of that share happens.
    pub(super) fn happens(&mut self, share: f64) -> bool {
        self.0.random::<f64>() < share
    }

    /// One of several, evenly.
    pub(super) fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.0.random_range(0..of.len())]
    }
}

/// Something that wanders about a middle and comes back to it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wander {
    /// How far it is off now.
    pub(super) off: f64,
    /// How far it is off in the long run, standard deviation.
    pub(super) sd: f64,
    /// How long it stays off, s.
    pub(super) memory_s: f64,
}

impl Wander {
    /// Begins somewhere in its range.
    pub(super) fn new(chance: &mut Chance, sd: f64, memory_s: f64) -> Self {
        Self { off: chance.normal(sd), sd, memory_s }
    }

    /// Goes on for so long.
    pub(super) fn go_on(&mut self, chance: &mut Chance, seconds: f64) {
        let kept = (-seconds / self.memory_s).exp();
        self.off = kept * self.off + chance.normal(self.sd * (1.0 - kept * kept).sqrt());
    }
}
