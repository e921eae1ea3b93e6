//! This run's plateau: the median of the corrected head from 10 to 20 min of drawing hearts.
//!
//! Time with the take-off closed or the heat off does not count. Until the plateau is known nothing
//! is counted from it: light heads press the head down by up to a kelvin at total reflux. A head that
//! stands 1.0 K above its lowest five-minute median since hearts began fixes that median at once.

use sense::Trace;
use sense::numbers::median;

/// Drawing time at which the window of the plateau opens and closes, s.
const WINDOW_S: (f64, f64) = (600.0, 1200.0);
/// Length of the short median, s.
const SHORT_S: f64 = 300.0;
/// Rise over the lowest short median that fixes the plateau early, K.
const EARLY_RISE_K: f64 = 1.0;
/// Most readings kept of the window: one each half second would fill it.
const SAMPLES_MAX: usize = 1200;

/// What is known of the plateau, at standard pressure, °C.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Plateau {
    hearts: bool,
    open_s: f64,
    window: Vec<f64>,
    lowest_short_c: Option<f64>,
    fixed_c: Option<f64>,
    fixed_early: bool,
}

impl Plateau {
    /// The plateau, once fixed.
    pub(super) const fn fixed_c(&self) -> Option<f64> {
        self.fixed_c
    }

    /// Whether an early rise fixed it.
    pub(super) const fn fixed_early(&self) -> bool {
        self.fixed_early
    }

    /// Lowest five-minute median since hearts began.
    pub(super) const fn lowest_short_c(&self) -> Option<f64> {
        self.lowest_short_c
    }

    /// Hearts begin.
    pub(super) fn hearts_begin(&mut self) {
        self.hearts = true;
    }

    /// A second of hearts has passed with the take-off open: counts it, and says whether the
    /// plateau became known.
    pub(super) fn second(&mut self, passed_s: f64) -> bool {
        if !self.hearts || self.fixed_c.is_some() {
            return false;
        }
        self.open_s += passed_s;
        if self.open_s >= WINDOW_S.1 && self.window.len() >= 3 {
            self.fixed_c = median(&mut self.window.clone());
            self.window = Vec::new();
        }
        self.fixed_c.is_some()
    }

    /// Takes a corrected head reading made while hearts are drawn; says whether the plateau became
    /// known.
    pub(super) fn reading(&mut self, time_s: f64, corrected_c: f64, head: &Trace) -> bool {
        if !self.hearts || self.fixed_c.is_some() {
            return false;
        }
        if self.open_s >= WINDOW_S.0 && self.window.len() < SAMPLES_MAX {
            self.window.push(corrected_c);
        }
        if self.open_s < SHORT_S {
            return false;
        }
        let short = head.median(time_s - SHORT_S, time_s);
        let lowest = match (self.lowest_short_c, short) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        self.lowest_short_c = lowest;
        let present = head.present();
        if let (Some(lowest), Some(present)) = (lowest, present)
            && present - lowest >= EARLY_RISE_K
        {
            self.fixed_c = Some(lowest);
            self.fixed_early = true;
            self.window = Vec::new();
        }
        self.fixed_c.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::{Plateau, Trace};

    fn run(head_c: impl Fn(f64) -> f64, open: impl Fn(f64) -> bool) -> (Plateau, f64) {
        let (mut plateau, mut trace) = (Plateau::default(), Trace::default());
        plateau.hearts_begin();
        for second in 0..7200 {
            let now = f64::from(second);
            if second % 10 == 0 {
                trace.push(now, head_c(now));
                if open(now) && plateau.reading(now, head_c(now), &trace) {
                    return (plateau, now);
                }
            }
            if open(now) && plateau.second(1.0) {
                return (plateau, now);
            }
        }
        (plateau, f64::INFINITY)
    }

    #[test]
    fn the_median_of_the_second_ten_minutes() {
        let (plateau, at) = run(|t| 78.0 + 1e-4 * t, |_| true);
        assert!((plateau.fixed_c().unwrap() - 78.09).abs() < 2e-3);
        assert!((at - 1199.0).abs() < 2.0);
    }

    #[test]
    fn time_with_the_take_off_closed_does_not_count() {
        let (plateau, at) = run(|t| 78.0 + 1e-4 * t, |t| !(300.0..900.0).contains(&t));
        assert!((at - 1799.0).abs() < 2.0);
        assert!((plateau.fixed_c().unwrap() - 78.15).abs() < 2e-3);
    }

    #[test]
    fn an_early_rise_fixes_the_lowest_short_median() {
        let (plateau, at) =
            run(|t| if t < 500.0 { 78.0 } else { 78.0 + 0.01 * (t - 500.0) }, |_| true);
        assert!(plateau.fixed_early() && (plateau.fixed_c().unwrap() - 78.0).abs() < 1e-9);
        assert!(at < 660.0);
    }
}
