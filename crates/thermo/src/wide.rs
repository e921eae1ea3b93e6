//! The hot loops as tasks that run with the widest vectors of the machine at hand: the matrices are
//! expanded in 1/T about those of a solved point, and one chord step ends most searches.
//!
//! Nothing in them is fused or reordered: every machine gives the same bits.

use pulp::NullaryFnOnce;

use crate::activity::{Matrices, ln_gamma};
use crate::bubble::BubblePoint;
use crate::mixture::Mixture;
use crate::warm::Warm;

/// A chord step this small ends the iteration, K: what it leaves is second order (1e-9 in y).
const CHORD_STEP_K: f64 = 1e-3;
/// Chord steps before the full solution is taken instead.
const CHORDS_MAX: usize = 8;
/// Farthest the expansion is used, K: its fourth-order remainder is below 1e-8 there.
const EXPANSION_RANGE_K: f64 = 4.0;
/// Largest change of ln K for which its exponential is taken from the series.
const EXP_RANGE: f64 = 0.05;

/// [`Mixture::chords`] as a task for the widest vectors (a plain closure would not be compiled
/// for them).
pub(crate) struct Chords<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) warm: &'a Warm<C>,
}

impl<const C: usize> NullaryFnOnce for Chords<'_, C> {
    type Output = Option<BubblePoint<C>>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.mixture.chords(self.x, self.warm)
    }
}

/// The slopes at a solved point, likewise.
pub(crate) struct SlopesAt<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) matrices: &'a Matrices<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) point: &'a BubblePoint<C>,
    pub(crate) ln_pressure: f64,
}

impl<const C: usize> NullaryFnOnce for SlopesAt<'_, C> {
    type Output = LineSlopes<C>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.mixture.line_slopes(self.matrices, self.x, self.point, self.ln_pressure)
    }
}

/// The slopes near a solved point, likewise.
pub(crate) struct SlopesNear<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) warm: &'a Warm<C>,
    pub(crate) point: &'a BubblePoint<C>,
}

impl<const C: usize> NullaryFnOnce for SlopesNear<'_, C> {
    type Output = LineSlopes<C>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let matrices = expanded(self.mixture, self.warm, self.point.temperature_k);
        self.mixture.line_slopes(&matrices, self.x, self.point, self.warm.ln_pressure)
    }
}

impl<const C: usize> Mixture<C> {
    /// Slopes along the bubble line at a solved point.
    #[inline(always)]
    fn line_slopes(
        &self,
        matrices: &Matrices<C>,
        x: &[f64; C],
        point: &BubblePoint<C>,
        ln_pressure: f64,
    ) -> LineSlopes<C> {
        let t = point.temperature_k;
        let slopes = self.slopes_from(matrices, x, t);
        let ln_p = self.ln_vapour_pressures(t);
        let p_slopes = self.ln_vapour_pressure_slopes(t);
        let mut k_values = [0.0; C];
        let mut ln_k = [0.0; C];
        let mut k_slopes = [0.0; C];
        let mut sum_slope = 0.0;
        for i in 0..C {
            ln_k[i] = slopes.ln_gamma[i] + ln_p[i];
            k_values[i] = (ln_k[i] - ln_pressure).exp();
            k_slopes[i] = slopes.by_temperature[i] + p_slopes[i];
            sum_slope += point.y[i] * k_slopes[i];
        }
        let mut temperature = k_values;
        for i in 0..C {
            for k in 0..C {
                temperature[k] += point.y[i] * slopes.by_fraction[i][k];
            }
        }
        for slope in &mut temperature {
            *slope /= -sum_slope;
        }
        LineSlopes {
            k_values,
            ln_k,
            k_slopes,
            sum_slope,
            temperature,
            by_fraction: slopes.by_fraction,
        }
    }

    /// Chord steps from `warm`; none when they do not lead there.
    #[inline(always)]
    fn chords(&self, x: &[f64; C], warm: &Warm<C>) -> Option<BubblePoint<C>> {
        let mut temperature_k = warm.point.temperature_k;
        for k in 0..C {
            temperature_k += warm.temperature_slopes[k] * (x[k] - warm.x[k]);
        }
        for _ in 0..CHORDS_MAX {
            let distance_k = (temperature_k - warm.matrices_k).abs();
            if distance_k.is_nan() || distance_k > EXPANSION_RANGE_K {
                return None;
            }
            let ln_g = ln_gamma(&expanded(self, warm, temperature_k), x);
            let ln_p = self.ln_vapour_pressures(temperature_k);
            let mut y = [0.0; C];
            let mut change = [0.0; C];
            let mut farthest: f64 = 0.0;
            for i in 0..C {
                change[i] = ln_g[i] + ln_p[i] - warm.ln_k[i];
                y[i] = x[i] * warm.k_values[i] * exp_near_zero(change[i]);
                farthest = farthest.max(change[i].abs());
            }
            if farthest > EXP_RANGE {
                for i in 0..C {
                    y[i] = x[i] * warm.k_values[i] * change[i].exp();
                }
            }
            let total: f64 = y.iter().sum();
            let step = -total.ln() / warm.sum_slope;
            temperature_k += step;
            if step.abs() < CHORD_STEP_K {
                let mut corrected = 0.0;
                for i in 0..C {
                    y[i] *= 1.0 + step * warm.k_slopes[i];
                    corrected += y[i];
                }
                let inverse = 1.0 / corrected;
                return Some(BubblePoint { temperature_k, y: y.map(|y| y * inverse) });
            }
        }
        None
    }
}

/// Slopes along the bubble line at one liquid.
pub(crate) struct LineSlopes<const C: usize> {
    pub(crate) k_values: [f64; C],
    pub(crate) ln_k: [f64; C],
    pub(crate) k_slopes: [f64; C],
    pub(crate) sum_slope: f64,
    pub(crate) temperature: [f64; C],
    pub(crate) by_fraction: [[f64; C]; C],
}

/// exp by its series to the sixth power: within 2e-13 as far as [`EXP_RANGE`].
#[inline(always)]
fn exp_near_zero(d: f64) -> f64 {
    let sixth = 1.0 + d * (1.0 / 6.0);
    let fifth = 1.0 + d * (1.0 / 5.0) * sixth;
    let fourth = 1.0 + d * (1.0 / 4.0) * fifth;
    let third = 1.0 + d * (1.0 / 3.0) * fourth;
    1.0 + d * (1.0 + d * (1.0 / 2.0) * third)
}

/// The NRTL matrices at `temperature_k`, by a cubic in 1/T about those of `warm`.
#[inline(always)]
fn expanded<const C: usize>(
    mixture: &Mixture<C>,
    warm: &Warm<C>,
    temperature_k: f64,
) -> Matrices<C> {
    let u = 1.0 / temperature_k - 1.0 / warm.matrices_k;
    let mut g = [[0.0; C]; C];
    let mut tau_g = [[0.0; C]; C];
    for i in 0..C {
        for j in 0..C {
            let b_u = mixture.tau_b_k[i][j] * u;
            let w = -mixture.alpha[i][j] * b_u;
            let factor = 1.0 + w * (1.0 + w * (0.5 + w * (1.0 / 6.0)));
            g[i][j] = warm.matrices.g[i][j] * factor;
            tau_g[i][j] = warm.matrices.tau_g[i][j] * factor + b_u * g[i][j];
        }
    }
    Matrices { g, tau_g }
}
