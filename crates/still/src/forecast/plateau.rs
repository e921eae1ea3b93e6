//! The plateau of a run: the median of the head from 10 to 20 minutes of hearts.
//!
//! The head at total reflux will not do: light heads press it down by up to a kelvin. Where the
//! head rises early (a small charge), the lowest five-minute median serves at once.

/// Time between samples, s.
pub(super) const SAMPLE_S: f64 = 10.0;
/// First and last sample of the median's window: 600 and 1200 s of hearts.
const WINDOW: (usize, usize) = (60, 120);
/// Samples from one end of the short median to the other: 300 s.
const SHORT: usize = 30;
/// Rise above the lowest short median that fixes the plateau early, K.
const EARLY_RISE_K: f64 = 1.0;

/// Collects head temperatures while hearts are drawn, until the plateau is known.
#[derive(Debug, Clone, Default)]
pub struct PlateauWatch {
    samples: Vec<f64>,
    lowest_short_median: Option<f64>,
    plateau: Option<f64>,
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[middle] } else { 0.5 * (sorted[middle - 1] + sorted[middle]) }
}

impl PlateauWatch {
    /// The plateau, once known, in the unit of the samples.
    #[must_use]
    pub const fn plateau(&self) -> Option<f64> {
        self.plateau
    }

    /// Hearts time of the next sample, s; none once the plateau is known.
    #[must_use]
    pub fn next_sample_s(&self) -> Option<f64> {
        self.plateau.is_none().then_some(self.samples.len() as f64 * SAMPLE_S)
    }

    /// Hearts time at which the plateau is known at the latest, s.
    #[must_use]
    pub const fn latest_s() -> f64 {
        WINDOW.1 as f64 * SAMPLE_S
    }

    /// Takes the head temperature at [`Self::next_sample_s`]; says whether the plateau is known
    /// from now on.
    pub fn sample(&mut self, head: f64) -> bool {
        if self.plateau.is_some() {
            return false;
        }
        self.samples.push(head);
        let last = self.samples.len() - 1;
        if last >= WINDOW.1 {
            self.plateau = Some(median(&self.samples[WINDOW.0..]));
            return true;
        }
        if last >= SHORT {
            let short = median(&self.samples[last - SHORT..]);
            let lowest = self.lowest_short_median.map_or(short, |lowest| lowest.min(short));
            self.lowest_short_median = Some(lowest);
            if head - lowest >= EARLY_RISE_K {
                self.plateau = Some(lowest);
                return true;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::PlateauWatch;

    fn feed(head: impl Fn(f64) -> f64) -> (Option<f64>, f64) {
        let mut watch = PlateauWatch::default();
        let mut last = 0.0;
        while let Some(time) = watch.next_sample_s() {
            last = time;
            watch.sample(head(time));
        }
        (watch.plateau(), last)
    }

    #[test]
    fn the_median_of_the_second_ten_minutes_both_ends_in() {
        // a straight line: its median over 600..=1200 s is its value at 900 s
        let (plateau, known_s) = feed(|time| 78.0 + time * 1e-4);
        assert!((plateau.unwrap() - 78.09).abs() < 1e-12);
        assert!((known_s - 1200.0).abs() < 1e-9);
    }

    #[test]
    fn an_early_knee_fixes_the_lowest_short_median() {
        let (plateau, known_s) =
            feed(|time| if time < 500.0 { 78.0 } else { 78.0 + (time - 500.0) * 0.01 });
        assert!((plateau.unwrap() - 78.0).abs() < 1e-12);
        assert!((known_s - 600.0).abs() < 1e-9);
    }
}
