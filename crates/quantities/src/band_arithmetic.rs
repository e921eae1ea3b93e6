//! Bands made from few figures, added, cut and carried on: sums close in every quantile.

use crate::Band;

/// The 95 % score over the 80 % score of a normal distribution.
const WIDER: f64 = 1.959_964 / 1.281_552;
/// Times after which something overdue should come, s: soon, but nobody knows: judgement.
const OVERDUE_S: [f64; 5] = [0.0, 30.0, 180.0, 900.0, 1800.0];

impl Band {
    /// From an 80 % band and its middle; the 95 % band is as much wider as a normal one's.
    #[must_use]
    pub fn of_eighty(low: f64, middle: f64, high: f64) -> Self {
        let (low, high) = (low.min(middle), high.max(middle));
        let (below, above) = (middle - low, high - middle);
        Self::from_array([middle - WIDER * below, low, middle, high, middle + WIDER * above])
    }

    /// From a middle and half of the 95 % band.
    #[must_use]
    pub fn of_half_95(middle: f64, half: f64) -> Self {
        let inner = half.abs() / WIDER;
        let half = half.abs();
        Self::from_array([middle - half, middle - inner, middle, middle + inner, middle + half])
    }

    /// Of a normal distribution.
    #[must_use]
    pub fn of_normal(middle: f64, sd: f64) -> Self {
        Self::from_array(Self::SCORES.map(|score| middle + score * sd.abs()))
    }

    /// Half of the 95 % band over the middle; 0 where the middle is 0.
    #[must_use]
    pub fn relative_half_95(&self) -> f64 {
        if self.p50 == 0.0 { 0.0 } else { 0.5 * (self.p975 - self.p025) / self.p50.abs() }
    }

    /// Quantile by quantile: as if both were high together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let (a, b) = (self.to_array(), other.to_array());
        Self::from_array(std::array::from_fn(|i| a[i] + b[i]))
    }

    /// Nothing of it below `least`.
    #[must_use]
    pub fn at_least(self, least: f64) -> Self {
        self.map(|value| value.max(least))
    }

    /// No quantile above the same quantile of `most`, and in order.
    #[must_use]
    pub fn at_most_each(&self, most: &Self) -> Self {
        let (a, b) = (self.to_array(), most.to_array());
        let mut least = std::array::from_fn::<f64, 5, _>(|i| a[i].min(b[i]));
        // A cut middle must stay within its band.
        for i in 1..5 {
            least[i] = least[i].max(least[i - 1]);
        }
        Self::from_array(least)
    }

    /// No quantile before the same quantile of `earlier`.
    #[must_use]
    pub fn not_before(&self, earlier: &Self) -> Self {
        let (a, b) = (self.to_array(), earlier.to_array());
        Self::from_array(std::array::from_fn(|i| a[i].max(b[i])))
    }

    /// Between this one (share 0) and another (share 1), quantile by quantile.
    #[must_use]
    pub fn towards(&self, other: &Self, share: f64) -> Self {
        let (a, b) = (self.to_array(), other.to_array());
        Self::from_array(std::array::from_fn(|i| a[i] + share * (b[i] - a[i])))
    }

    /// The same, given that it is after `now`: none where it should have come with 97.5 % or more.
    ///
    /// The distribution is taken as straight lines between its quantiles.
    #[must_use]
    pub fn after(&self, now: f64) -> Option<Self> {
        if now <= self.p025 {
            return Some(*self);
        }
        let passed = self.chance_before(now);
        (now < self.p975).then(|| {
            let at = |level: f64| self.quantile(passed + (1.0 - passed) * level).max(now);
            Self::from_array(Self::LEVELS.map(at))
        })
    }

    /// As [`Self::after`]; what is overdue should come soon.
    #[must_use]
    pub fn after_or_soon(&self, now: f64) -> Self {
        self.after(now).unwrap_or_else(|| Self::from_array(OVERDUE_S.map(|later| now + later)))
    }

    /// Probability of a value below `value`, straight lines between the quantiles and as far beyond.
    fn chance_before(&self, value: f64) -> f64 {
        let points = self.to_array();
        let after = points.partition_point(|point| *point <= value);
        match after {
            0 => 0.0,
            5 => 1.0,
            _ => {
                let (low, high) = (points[after - 1], points[after]);
                let (from, to) = (Self::LEVELS[after - 1], Self::LEVELS[after]);
                from + (to - from) * (value - low) / (high - low).max(f64::MIN_POSITIVE)
            }
        }
    }

    /// The value below which a share `level` lies; beyond the outer quantiles as far as they lie
    /// from the next.
    fn quantile(&self, level: f64) -> f64 {
        let points = self.to_array();
        let after = Self::LEVELS.partition_point(|own| *own <= level);
        match after {
            0 => points[0],
            5 => {
                let beyond = (level - Self::LEVELS[4]) / (1.0 - Self::LEVELS[4]);
                points[4] + beyond * (points[4] - points[3])
            }
            _ => {
                let (from, to) = (Self::LEVELS[after - 1], Self::LEVELS[after]);
                let share = (level - from) / (to - from);
                points[after - 1] + share * (points[after] - points[after - 1])
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::Band;

    fn in_order(band: &Band) -> bool {
        band.to_array().windows(2).all(|pair| pair[0] <= pair[1])
    }

    #[test]
    fn prop_every_band_holds_its_middle_and_stays_in_order() {
        let band = Band::of_eighty(90.0, 100.0, 130.0);
        assert!(in_order(&band) && band.p025 < 85.0 && band.p975 > 145.0);
        for now in [0.0, 86.0, 95.0, 100.0, 120.0, 140.0] {
            let after = band.after(now).unwrap();
            assert!(in_order(&after) && after.p025 >= now.min(band.p025).max(band.p025.min(now)));
            assert!(after.p50 >= band.p50 - 1e-9, "{now}: {after:?}");
        }
        assert_eq!(band.after(1e4), None);
        assert!(in_order(&band.after_or_soon(1e4)) && band.after_or_soon(1e4).p50 > 1e4);
        assert!(in_order(&band.at_most_each(&Band::point(95.0))));
        assert!(in_order(&band.not_before(&Band::point(110.0))));
    }

    #[test]
    fn prop_sums_close_in_every_quantile() {
        let (a, b) = (Band::of_half_95(3.0, 1.0), Band::of_normal(2.0, 0.5));
        assert!(
            (a.plus(&b).p50 - 5.0).abs() < 1e-12
                && (a.relative_half_95() - 1.0 / 3.0).abs() < 1e-12
        );
        assert_eq!(a.towards(&b, 1.0), b);
    }
}
