//! Bubble points: `sum_i x_i gamma_i ps_i = P`, by Newton's method on its logarithm.

use crate::error::ThermoError;
use crate::mixture::Mixture;

/// Iterations after which a bubble point is given up; 4 to 7 are usual.
const ITERATIONS_MAX: usize = 60;
/// A Newton step this small ends the iteration, K; the next would be below 1e-12 K.
const STEP_TOLERANCE_K: f64 = 1e-8;
/// Longest Newton step, K.
const STEP_MAX_K: f64 = 40.0;

/// A boiling liquid and the vapour over it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BubblePoint<const C: usize> {
    /// Boiling temperature, K.
    pub temperature_k: f64,
    /// Vapour composition; sums to one.
    pub y: [f64; C],
}

impl<const C: usize> Mixture<C> {
    /// The bubble point of liquid `x` (mole fractions) at `pressure_pa`.
    ///
    /// # Errors
    /// [`ThermoError::NotConverged`] or [`ThermoError::Composition`], with the inputs.
    pub fn bubble_point(
        &self,
        x: &[f64; C],
        pressure_pa: f64,
    ) -> Result<BubblePoint<C>, ThermoError> {
        self.bubble_point_from(x, pressure_pa, 360.0)
    }

    /// [`Self::bubble_point`] from a first guess of the temperature.
    ///
    /// # Errors
    /// As [`Self::bubble_point`].
    pub fn bubble_point_from(
        &self,
        x: &[f64; C],
        pressure_pa: f64,
        guess_k: f64,
    ) -> Result<BubblePoint<C>, ThermoError> {
        let sum: f64 = x.iter().sum();
        if !(sum.is_finite() && sum > 0.0) {
            return Err(ThermoError::Composition { composition: x.to_vec() });
        }
        let ln_pressure = pressure_pa.ln();
        let mut temperature_k = guess_k;
        let mut residual = f64::INFINITY;
        for _ in 0..ITERATIONS_MAX {
            let slopes = self.activity_slopes(x, temperature_k);
            let ln_p = self.ln_vapour_pressures(temperature_k);
            let p_slopes = self.ln_vapour_pressure_slopes(temperature_k);
            let mut y = [0.0; C];
            let (mut total, mut total_slope) = (0.0, 0.0);
            for i in 0..C {
                y[i] = x[i] * (slopes.ln_gamma[i] + ln_p[i] - ln_pressure).exp();
                total += y[i];
                total_slope += y[i] * (slopes.by_temperature[i] + p_slopes[i]);
            }
            residual = total.ln();
            let step = (-residual * total / total_slope).clamp(-STEP_MAX_K, STEP_MAX_K);
            if step.abs() < STEP_TOLERANCE_K {
                // First-order correction of what is left, then exactly to sum one.
                for i in 0..C {
                    y[i] *= 1.0 + step * (slopes.by_temperature[i] + p_slopes[i]);
                }
                let total: f64 = y.iter().sum();
                return Ok(BubblePoint {
                    temperature_k: temperature_k + step,
                    y: y.map(|y| y / total),
                });
            }
            temperature_k = (temperature_k + step).clamp(200.0, 450.0);
        }
        Err(ThermoError::NotConverged {
            what: "bubble point",
            iterations: ITERATIONS_MAX,
            residual,
            temperature_k,
            pressure_pa,
            composition: x.to_vec(),
        })
    }
}
