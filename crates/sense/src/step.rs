//! A thermometer that steps from one level to another between two readings, as a loose plug does.
//!
//! What stands in a vapour or a liquid comes to a new level over its lag; it never leaves one flat
//! stretch for another within a reading.

/// A step of so much is told, K, between stretches no wider than this, K; one of more than the jump
/// rule lets pass at once is that rule's. Judgement: in 90 sound recordings there is none, in those
/// with a faulty head there are.
const STEP_K: f64 = 0.6;
const STEP_MOST_K: f64 = 4.0;
const FLAT_K: f64 = 0.3;
/// Readings before and after, and the longest time between two, s.
const BEFORE: usize = 6;
const AFTER: usize = 4;
const APART_S: f64 = 60.0;
/// A step back is one that leaves less than this share of the first: judgement.
const BACK_SHARE: f64 = 0.4;

/// Follows one thermometer.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Steps {
    last: [(f64, f64); BEFORE + AFTER],
    count: usize,
    off_k: Option<f64>,
    /// The level it jumped from, and what it then showed, where that was further than a step.
    jumped: Option<(f64, f64)>,
}

fn spread(rows: &[(f64, f64)]) -> f64 {
    let (low, high) = rows.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), row| {
        (low.min(row.1), high.max(row.1))
    });
    high - low
}

fn mean(rows: &[(f64, f64)]) -> f64 {
    rows.iter().map(|row| row.1).sum::<f64>() / rows.len() as f64
}

impl Steps {
    /// Nothing of before counts: heat is off, or the probe stood still until now.
    pub(crate) fn forget(&mut self) {
        *self = Self::default();
    }

    /// A jump that further readings confirmed. From a flat stretch it is none that vapour makes: the
    /// probe, or liquid that comes up the column.
    pub(crate) fn jump(&mut self, celsius: f64) {
        let before = &self.last[AFTER..];
        let flat = self.count >= BEFORE && spread(before) <= FLAT_K;
        if self.jumped.is_none() && flat {
            self.jumped = Some((mean(before), celsius));
        }
        self.count = 0;
    }

    /// Where it jumped to, °C, until it comes back.
    pub(crate) fn jumped_to(&self) -> Option<f64> {
        self.jumped.map(|(_, to_c)| to_c)
    }

    /// Takes a reading that is believed; gives a step that it completes, K.
    pub(crate) fn take(&mut self, time_s: f64, celsius: f64) -> Option<f64> {
        self.jumped = self
            .jumped
            .filter(|(from_c, to_c)| (celsius - from_c).abs() > BACK_SHARE * (to_c - from_c).abs());
        if self.count > 0 && time_s - self.last[self.last.len() - 1].0 > APART_S {
            self.count = 0;
        }
        self.last.rotate_left(1);
        self.last[BEFORE + AFTER - 1] = (time_s, celsius);
        self.count = (self.count + 1).min(BEFORE + AFTER);
        let (before, after) = self.last.split_at(BEFORE);
        let step_k = mean(after) - mean(before);
        let flat = spread(before) <= FLAT_K && spread(after) <= FLAT_K;
        if self.count < BEFORE + AFTER || !flat || !(STEP_K..=STEP_MOST_K).contains(&step_k.abs()) {
            return None;
        }
        self.count = AFTER;
        let off_k = self.off_k.unwrap_or(0.0) + step_k;
        let back = self.off_k.is_some_and(|before| off_k.abs() <= BACK_SHARE * before.abs());
        self.off_k = (!back).then_some(off_k);
        Some(step_k)
    }

    /// By how much it stands off where it stood, K, where it stepped and did not step back.
    pub(crate) const fn off_k(&self) -> Option<f64> {
        self.off_k
    }
}

#[cfg(test)]
mod tests {
    use super::Steps;

    /// Takes these, ten seconds apart, with noise of a digit.
    fn after(values: impl IntoIterator<Item = f64>) -> Option<f64> {
        let mut steps = Steps::default();
        for (row, value) in (0_u32..).zip(values) {
            steps.take(10.0 * f64::from(row), value + 0.0625 * f64::from(row % 2));
        }
        steps.off_k()
    }

    #[test]
    fn a_thermometer_that_loses_a_kelvin_at_once_is_told_until_it_comes_back() {
        let level = |celsius: f64, rows: usize| std::iter::repeat_n(celsius, rows);
        let off_k = after(level(78.1, 20).chain(level(77.1, 4))).expect("a step");
        assert!((off_k + 1.0).abs() < 0.1, "{off_k}");
        assert_eq!(after(level(78.1, 20).chain(level(77.1, 3))), None, "not sure yet");
        assert_eq!(after(level(78.1, 20).chain(level(77.1, 30)).chain(level(78.1, 9))), None);
        assert!(after(level(78.1, 20).chain(level(79.1, 9))).is_some(), "up as well");
        assert_eq!(after(level(78.1, 20).chain([60.0]).chain(level(78.1, 9))), None, "a spike");
    }

    #[test]
    fn a_still_that_changes_does_so_over_the_lag_of_its_thermometer() {
        for (lag_s, by_k) in [(20.0, -3.0), (45.0, -1.0), (45.0, 2.0), (120.0, 5.0)] {
            let moves = (0..120).map(|row| {
                let since_s = (10.0 * f64::from(row) - 300.0).max(0.0);
                78.1 + by_k * (1.0 - (-since_s / lag_s).exp())
            });
            assert_eq!(after(moves), None, "{by_k} K over {lag_s} s");
        }
    }
}
