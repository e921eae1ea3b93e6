//! Bubble points near one already known: the matrices are expanded in 1/T, one chord step ends it.
//!
//! A still asks for the bubble points of the same stages ten thousand times, each time a little
//! way off. Everything dear (exponentials of pairs, slopes) is kept from the last full solution.

use pulp::Arch;

use crate::activity::{Matrices, ln_gamma};
use crate::bubble::BubblePoint;
use crate::error::ThermoError;
use crate::mixture::Mixture;
use crate::wide::{Chords, SlopesAt, SlopesNear};

/// A chord step this small ends the iteration, K: what it leaves is second order (1e-9 in y).
const CHORD_STEP_K: f64 = 1e-3;
/// Chord steps before the full solution is taken instead.
const CHORDS_MAX: usize = 8;
/// Farthest a renewed point may move from the matrices it keeps, K.
const KEEP_MATRICES_K: f64 = 0.5;
/// Farthest the expansion is used, K: its fourth-order remainder is below 1e-8 there.
const EXPANSION_RANGE_K: f64 = 4.0;

/// Largest change of ln K for which its exponential is taken from the series.
const EXP_RANGE: f64 = 0.05;

/// A solved bubble point with all that is needed to go a little way from it.
#[derive(Debug, Clone)]
pub struct Warm<const C: usize> {
    /// The liquid it was solved for.
    pub x: [f64; C],
    /// Its pressure, Pa.
    pub pressure_pa: f64,
    /// Its solution.
    pub point: BubblePoint<C>,
    /// Derivatives of the boiling temperature by each mole fraction, K.
    pub temperature_slopes: [f64; C],
    /// `d y_i / d x_k` along the bubble line, row i.
    pub vapour_slopes: [[f64; C]; C],
    /// Latent heats J/mol, first and second derivatives by temperature.
    pub latent: [[f64; C]; 3],
    /// Heat capacities of the liquids, J/(mol K), and their slopes by temperature.
    pub cp: [[f64; C]; 2],
    /// NRTL matrices at `matrices_k`, which may lie a little way off the point.
    matrices: Matrices<C>,
    matrices_k: f64,
    pub(crate) ln_pressure: f64,
    /// y / x of each substance, and ln(gamma ps).
    k_values: [f64; C],
    ln_k: [f64; C],
    /// d ln(gamma ps) / dT at constant x, 1/K.
    k_slopes: [f64; C],
    /// d ln(sum x K) / dT, 1/K.
    sum_slope: f64,
}

impl<const C: usize> Warm<C> {
    /// A solved point of an equilibrium without activity coefficients (textbook mixtures): the
    /// slopes are given, latent heats and heat capacities do not vary.
    #[must_use]
    pub fn without_activity(
        x: [f64; C],
        pressure_pa: f64,
        point: BubblePoint<C>,
        vapour_slopes: [[f64; C]; C],
        latent_j_mol: f64,
        cp_j_mol_k: f64,
    ) -> Self {
        Self {
            x,
            pressure_pa,
            point,
            temperature_slopes: [0.0; C],
            vapour_slopes,
            latent: [[latent_j_mol; C], [0.0; C], [0.0; C]],
            cp: [[cp_j_mol_k; C], [0.0; C]],
            matrices: Matrices { g: [[1.0; C]; C], tau_g: [[0.0; C]; C] },
            matrices_k: point.temperature_k,
            ln_pressure: pressure_pa.ln(),
            k_values: [1.0; C],
            ln_k: [0.0; C],
            k_slopes: [0.0; C],
            sum_slope: 1.0,
        }
    }

    /// Latent heat of vapour `y` at `temperature_k` (near this point), J/mol, with its slope.
    #[inline]
    #[must_use]
    pub fn latent_heat(&self, y: &[f64; C], temperature_k: f64) -> (f64, f64) {
        let d = temperature_k - self.point.temperature_k;
        let (mut value, mut slope) = (0.0, 0.0);
        for i in 0..C {
            value +=
                y[i] * (self.latent[0][i] + d * (self.latent[1][i] + 0.5 * d * self.latent[2][i]));
            slope += y[i] * (self.latent[1][i] + d * self.latent[2][i]);
        }
        (value, slope)
    }

    /// Heat capacity of liquid `x` at `temperature_k` (near this point), J/(mol K), with its slope.
    #[inline]
    #[must_use]
    pub fn heat_capacity(&self, x: &[f64; C], temperature_k: f64) -> (f64, f64) {
        let d = temperature_k - self.point.temperature_k;
        let (mut value, mut slope) = (0.0, 0.0);
        for i in 0..C {
            value += x[i] * (self.cp[0][i] + d * self.cp[1][i]);
            slope += x[i] * self.cp[1][i];
        }
        (value, slope)
    }
}

impl<const C: usize> Mixture<C> {
    /// Solves the bubble point of `x` in full and keeps its slopes.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn warm(
        &self,
        x: &[f64; C],
        pressure_pa: f64,
        guess_k: f64,
    ) -> Result<Warm<C>, ThermoError> {
        let point = self.bubble_point_from(x, pressure_pa, guess_k)?;
        let matrices = self.matrices(point.temperature_k);
        let slopes = Arch::new().dispatch(SlopesAt {
            mixture: self,
            matrices: &matrices,
            x,
            point: &point,
            ln_pressure: pressure_pa.ln(),
        });
        let mut warm = Warm::without_activity(*x, pressure_pa, point, [[0.0; C]; C], 0.0, 0.0);
        warm.matrices = matrices;
        self.keep(&mut warm, x, point, &slopes);
        Ok(warm)
    }

    /// Renews `warm` at a liquid near its own.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn renew(&self, warm: &mut Warm<C>, x: &[f64; C]) -> Result<(), ThermoError> {
        let point = self.bubble_point_near(x, warm)?;
        self.renew_at(warm, x, point);
        Ok(())
    }

    /// Keeps the slopes of a bubble point that was solved near `warm`, in its place.
    pub fn renew_at(&self, warm: &mut Warm<C>, x: &[f64; C], point: BubblePoint<C>) {
        if (point.temperature_k - warm.matrices_k).abs() > KEEP_MATRICES_K {
            warm.matrices = self.matrices(point.temperature_k);
            warm.matrices_k = point.temperature_k;
        }
        let slopes = Arch::new().dispatch(SlopesNear { mixture: self, x, warm, point: &point });
        self.keep(warm, x, point, &slopes);
    }

    /// Writes a solved point and its slopes into `warm`, whose matrices are near it.
    fn keep(
        &self,
        warm: &mut Warm<C>,
        x: &[f64; C],
        point: BubblePoint<C>,
        slopes: &LineSlopes<C>,
    ) {
        warm.x = *x;
        warm.point = point;
        warm.temperature_slopes = slopes.temperature;
        for i in 0..C {
            for k in 0..C {
                warm.vapour_slopes[i][k] = point.y[i]
                    * (slopes.by_fraction[i][k] + slopes.k_slopes[i] * slopes.temperature[k]);
            }
            warm.vapour_slopes[i][i] += slopes.k_values[i];
        }
        warm.latent = self.latent_columns(point.temperature_k);
        warm.cp = self.cp_columns(point.temperature_k);
        warm.ln_k = slopes.ln_k;
        warm.k_values = slopes.k_values;
        warm.k_slopes = slopes.k_slopes;
        warm.sum_slope = slopes.sum_slope;
    }

    /// Boiling-point slopes by mole fraction at a liquid near `warm`, and its bubble point.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn slopes_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<(BubblePoint<C>, [f64; C]), ThermoError> {
        let point = self.bubble_point_near(x, warm)?;
        let slopes = Arch::new().dispatch(SlopesNear { mixture: self, x, warm, point: &point });
        Ok((point, slopes.temperature))
    }

    /// Slopes along the bubble line at a solved point.
    #[inline(always)]
    pub(crate) fn line_slopes(
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

    fn latent_columns(&self, temperature_k: f64) -> [[f64; C]; 3] {
        let mut columns = [[0.0; C]; 3];
        for i in 0..C {
            let values = self.pure[i].latent_heat(temperature_k);
            for (column, value) in columns.iter_mut().zip(values) {
                column[i] = value;
            }
        }
        columns
    }

    fn cp_columns(&self, temperature_k: f64) -> [[f64; C]; 2] {
        let d = temperature_k - crate::pure::REFERENCE_K;
        let c = |i: usize| self.pure[i].coefficients.cp_liquid;
        [
            std::array::from_fn(|i| c(i)[0] + d * (c(i)[1] + d * c(i)[2])),
            std::array::from_fn(|i| c(i)[1] + 2.0 * d * c(i)[2]),
        ]
    }

    /// The bubble point of `x`, started from a solved one near it.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    #[inline]
    pub fn bubble_point_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<BubblePoint<C>, ThermoError> {
        // The widest vectors of this machine; no operation is fused or reordered, so that every
        // machine gives the same bits.
        match Arch::new().dispatch(Chords { mixture: self, x, warm }) {
            Some(point) => Ok(point),
            None => self.bubble_point_from(x, warm.pressure_pa, warm.point.temperature_k),
        }
    }

    /// Chord steps from `warm`; none when they do not lead there.
    #[inline(always)]
    pub(crate) fn chords(&self, x: &[f64; C], warm: &Warm<C>) -> Option<BubblePoint<C>> {
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
    k_values: [f64; C],
    ln_k: [f64; C],
    k_slopes: [f64; C],
    sum_slope: f64,
    temperature: [f64; C],
    by_fraction: [[f64; C]; C],
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
pub(crate) fn expanded<const C: usize>(
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
