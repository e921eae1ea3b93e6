//! The plateau of a run: the median of the head from 10 to 20 minutes of hearts.
//!
//! The head at total reflux will not do: light heads press it down by up to a kelvin. Where the
//! head rises early (a small charge), the lowest five-minute median serves at once. A head that
//! falls away, as after a power cut, is no plateau: such samples and their time do not count.

/// Time between samples, s.
const SAMPLE_S: f64 = 10.0;
/// First and last hearts time of the median's window, s.
const WINDOW_S: (f64, f64) = (600.0, 1200.0);
/// Fewest samples a median is taken of (judgement).
const SAMPLES_LEAST: usize = 3;
/// Width of the short median, s.
const SHORT_S: f64 = 300.0;
/// Rise above the lowest short median that fixes the plateau early, K.
const EARLY_RISE_K: f64 = 1.0;
/// A sample this far under the short median before it is a head without vapour, K (judgement:
/// light heads press a head down by up to a kelvin, but not within five minutes).
const FALLEN_K: f64 = 1.0;
/// A head that fell is taken as a new level once it stays within [`FALLEN_K`] for so many samples:
/// five minutes.
const NEW_LEVEL: usize = 31;
/// Rounding of times, s.
const ROUNDING_S: f64 = 1e-6;

/// Collects head temperatures while hearts are drawn, until the plateau is known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlateauWatch {
    /// Hearts drawn so far, s.
    passed_s: f64,
    /// Hearts time from which the next sample is due, s.
    next_s: f64,
    /// Hearts time and head.
    samples: Vec<(f64, f64)>,
    /// Heads that fell away, the latest [`NEW_LEVEL`] of them.
    fallen: Vec<f64>,
    lowest_short_median: Option<f64>,
    plateau: Option<f64>,
    early: bool,
}

fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    let high = *sorted.get(middle)?;
    Some(if sorted.len() % 2 == 1 { high } else { 0.5 * (sorted[middle - 1] + high) })
}

impl PlateauWatch {
    /// The plateau, once known, in the unit of the samples.
    #[must_use]
    pub const fn plateau(&self) -> Option<f64> {
        self.plateau
    }

    /// Whether an early rise fixed it.
    #[must_use]
    pub const fn fixed_early(&self) -> bool {
        self.early
    }

    /// The lowest five-minute median so far.
    #[must_use]
    pub const fn lowest_short_median(&self) -> Option<f64> {
        self.lowest_short_median
    }

    /// Hearts drawn until the next sample is due, s; none once the plateau is known.
    pub(super) fn until_sample_s(&self) -> Option<f64> {
        self.plateau.is_none().then(|| (self.next_s - self.passed_s).max(0.0))
    }

    /// Time between samples, s.
    #[must_use]
    pub const fn every_s() -> f64 {
        SAMPLE_S
    }

    /// Hearts drawn so far that count, s.
    #[must_use]
    pub const fn passed_s(&self) -> f64 {
        self.passed_s
    }

    /// Hearts drawn until the window closes, s; none once it has, or the plateau is known.
    #[must_use]
    pub fn until_window_s(&self) -> Option<f64> {
        let left_s = WINDOW_S.1 - self.passed_s;
        (self.plateau.is_none() && left_s > ROUNDING_S).then_some(left_s)
    }

    /// So much more time of hearts was drawn, s.
    pub(super) fn pass(&mut self, seconds: f64) {
        self.passed_s += seconds.max(0.0);
    }

    /// Takes the head temperature now, where a sample is due; says whether the plateau is known
    /// from now on.
    pub(super) fn sample(&mut self, head: f64) -> bool {
        if self.plateau.is_some() || self.passed_s < self.next_s - ROUNDING_S {
            return false;
        }
        if self.falls(head) {
            return false;
        }
        self.fallen.clear();
        let now_s = self.passed_s;
        self.next_s = SAMPLE_S * (((now_s + ROUNDING_S) / SAMPLE_S).floor() + 1.0);
        self.samples.push((now_s, head));
        if now_s >= WINDOW_S.1 - ROUNDING_S && self.since(WINDOW_S.0).count() >= SAMPLES_LEAST {
            self.plateau = median(self.since(WINDOW_S.0));
        } else if now_s >= SHORT_S - ROUNDING_S
            && let Some(short) = self.short_median()
        {
            let lowest = self.lowest_short_median.map_or(short, |lowest| lowest.min(short));
            self.lowest_short_median = Some(lowest);
            if head - lowest >= EARLY_RISE_K {
                self.plateau = Some(lowest);
                self.early = true;
            }
        }
        self.plateau.is_some()
    }

    /// Heads since a hearts time.
    fn since(&self, from_s: f64) -> impl Iterator<Item = f64> + '_ {
        let late = move |sample: &&(f64, f64)| sample.0 >= from_s - ROUNDING_S;
        self.samples.iter().rev().take_while(late).map(|sample| sample.1)
    }

    /// The median of the last five minutes.
    fn short_median(&self) -> Option<f64> {
        let from_s = self.samples.last()?.0 - SHORT_S;
        (self.since(from_s).count() >= SAMPLES_LEAST).then(|| median(self.since(from_s)))?
    }

    /// Whether the head fell away: the time since the last good sample is then no time of hearts.
    /// A head that stays down is a new level, from which all begins anew.
    fn falls(&mut self, head: f64) -> bool {
        let Some(&(last_s, _)) = self.samples.last() else { return false };
        let before = median(self.since(last_s - SHORT_S));
        if before.is_none_or(|before| head > before - FALLEN_K) {
            return false;
        }
        self.passed_s = last_s;
        if self.fallen.len() == NEW_LEVEL {
            self.fallen.remove(0);
        }
        self.fallen.push(head);
        let highest = self.fallen.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let lowest = self.fallen.iter().copied().fold(f64::INFINITY, f64::min);
        if self.fallen.len() == NEW_LEVEL && highest - lowest <= FALLEN_K {
            *self = Self::default();
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::PlateauWatch;

    /// Feeds a head every ten seconds; the plateau and when it was known.
    fn feed(head: impl Fn(f64) -> f64) -> (Option<f64>, f64) {
        let mut watch = PlateauWatch::default();
        for step in 0..1000 {
            let time_s = 10.0 * f64::from(step);
            if watch.sample(head(time_s)) {
                return (watch.plateau(), time_s);
            }
            watch.pass(10.0);
        }
        (watch.plateau(), f64::INFINITY)
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

    /// The run of which 74.12 °C was taken: a cut of ten minutes in the first twenty of hearts.
    #[test]
    fn a_power_cut_in_the_first_twenty_minutes_makes_no_plateau() {
        let head = |time: f64| match time {
            ..300.0 => 78.2,
            // It falls towards ambient, then the heat comes back.
            ..900.0 => 20.0 + 58.2 * (-(time - 300.0) / 240.0).exp(),
            ..1200.0 => 30.0 + 48.2 * (time - 900.0) / 300.0,
            _ => 78.2,
        };
        let (plateau, known_s) = feed(head);
        assert!((plateau.unwrap() - 78.2).abs() < 0.05, "{plateau:?}");
        assert!((2050.0..2150.0).contains(&known_s), "twenty minutes of vapour: {known_s}");
    }

    #[test]
    fn a_head_that_settles_lower_begins_anew() {
        let (plateau, known_s) = feed(|time| if time < 200.0 { 82.0 } else { 79.0 });
        assert!((plateau.unwrap() - 79.0).abs() < 1e-12);
        assert!((1600.0..1800.0).contains(&known_s), "{known_s}");
    }
}
