//! A band: five quantiles of something that is not known exactly.

use serde::{Deserialize, Serialize};

/// How the 80 % band is said, everywhere.
pub const FOUR_IN_FIVE: &str = "4 in 5";

/// The 2.5, 10, 50, 90 and 97.5 % quantiles of a forecast: likely value, 80 % and 95 % bands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Low end of the 95 % band.
    pub p025: f64,
    /// Low end of the 80 % band.
    pub p10: f64,
    /// As likely above as below.
    pub p50: f64,
    /// High end of the 80 % band.
    pub p90: f64,
    /// High end of the 95 % band.
    pub p975: f64,
}

impl Band {
    /// The probabilities of the five, in order.
    pub const LEVELS: [f64; 5] = [0.025, 0.10, 0.50, 0.90, 0.975];

    /// Normal scores of [`Self::LEVELS`].
    pub const SCORES: [f64; 5] = [-1.959_964, -1.281_552, 0.0, 1.281_552, 1.959_964];

    /// A value that is known: all five alike.
    #[must_use]
    pub const fn point(value: f64) -> Self {
        Self { p025: value, p10: value, p50: value, p90: value, p975: value }
    }

    /// In order of [`Self::LEVELS`].
    #[must_use]
    pub const fn from_array([p025, p10, p50, p90, p975]: [f64; 5]) -> Self {
        Self { p025, p10, p50, p90, p975 }
    }

    /// In order of [`Self::LEVELS`].
    #[must_use]
    pub const fn to_array(self) -> [f64; 5] {
        [self.p025, self.p10, self.p50, self.p90, self.p975]
    }

    /// Band of equally likely draws, linear between order statistics; none without draws.
    #[must_use]
    pub fn of_draws(draws: &[f64]) -> Option<Self> {
        let mut draws: Vec<f64> = draws.iter().copied().filter(|x| x.is_finite()).collect();
        let last = draws.len().checked_sub(1)?;
        // What lies under a quantile is out of the way of the next, which is higher.
        let mut under = 0;
        Some(Self::from_array(Self::LEVELS.map(|level| {
            let place = level * last as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to the number of draws"
            )]
            let low = (place.floor() as usize).min(last);
            let (_, &mut here, above) =
                draws[under..].select_nth_unstable_by(low - under, f64::total_cmp);
            let next = above.iter().copied().min_by(f64::total_cmp).unwrap_or(here);
            under = low;
            here + (next - here) * (place - low as f64)
        })))
    }

    /// Every quantile through a rising function.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self::from_array(self.to_array().map(rising))
    }

    /// Width of the 80 % band.
    #[must_use]
    pub const fn width_80(&self) -> f64 {
        self.p90 - self.p10
    }
}

#[cfg(test)]
mod tests {
    use super::Band;

    #[test]
    fn bands_of_a_ladder_are_its_own_levels() {
        let ladder: Vec<f64> = (0..=1000).map(|i| f64::from(i) / 1000.0).collect();
        let found = Band::of_draws(&ladder).unwrap().to_array();
        for (found, level) in found.into_iter().zip(Band::LEVELS) {
            assert!((found - level).abs() < 1e-12);
        }
        assert_eq!(Band::of_draws(&[f64::NAN]), None);
    }

    #[test]
    fn prop_the_quantiles_are_those_of_the_draws_in_order() {
        // Draws out of order, with many that are equal: a multiplicative walk through residues.
        let draws: Vec<f64> = (1..=500_u32).map(|i| f64::from(i * 7919 % 1009 / 3)).collect();
        for count in [1, 2, 3, 7, 40, 41, 500] {
            let found = Band::of_draws(&draws[..count]).unwrap().to_array();
            let mut sorted = draws[..count].to_vec();
            sorted.sort_by(f64::total_cmp);
            for (found, level) in found.into_iter().zip([25, 100, 500, 900, 975]) {
                let (low, rest) = (level * (count - 1) / 1000, level * (count - 1) % 1000);
                let high = low + usize::from(rest > 0);
                let expected = sorted[low] + (sorted[high] - sorted[low]) * rest as f64 / 1000.0;
                assert!((found - expected).abs() < 1e-9, "{count} {level}: {found}");
            }
        }
    }
}
