//! Dew points: the liquid that would be in equilibrium with a vapour, by Newton's method.

use crate::error::ThermoError;
use crate::mixture::Mixture;

/// Iterations after which a dew point is given up; 3 to 6 are usual.
const ITERATIONS_MAX: usize = 60;
/// Largest residual (mole fraction) that counts as solved.
const RESIDUAL_TOLERANCE: f64 = 1e-12;

/// A vapour at its dew temperature and the first liquid from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DewPoint<const C: usize> {
    /// Dew temperature, K.
    pub temperature_k: f64,
    /// Composition of the liquid.
    pub x: [f64; C],
}

impl<const C: usize> Mixture<C> {
    /// The dew point of vapour `y` at `pressure_pa`, started from a liquid and temperature near
    /// it. One liquid phase is assumed.
    ///
    /// # Errors
    /// [`ThermoError::NotConverged`] with the inputs.
    pub fn dew_point(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        x_start: &[f64; C],
        start_k: f64,
    ) -> Result<DewPoint<C>, ThermoError> {
        let mut x = *x_start;
        let mut temperature_k = start_k;
        let mut residual = f64::INFINITY;
        for _ in 0..ITERATIONS_MAX {
            let (step, worst) = self.dew_step(y, pressure_pa, &x, temperature_k)?;
            residual = worst;
            if worst < RESIDUAL_TOLERANCE {
                return Ok(DewPoint { temperature_k, x });
            }
            // Keep every fraction positive: at most nine tenths of it may go in one step.
            let mut factor = (20.0 / step.1.abs().max(1e-300)).min(1.0);
            for i in 0..C {
                if step.0[i] < 0.0 && x[i] > 0.0 {
                    factor = factor.min(-0.9 * x[i] / step.0[i]);
                }
            }
            for i in 0..C {
                x[i] += factor * step.0[i];
            }
            temperature_k += factor * step.1;
        }
        Err(ThermoError::NotConverged {
            what: "dew point",
            iterations: ITERATIONS_MAX,
            residual,
            temperature_k,
            pressure_pa,
            composition: y.to_vec(),
        })
    }

    /// One Newton step in liquid and temperature, and the largest residual before it.
    fn dew_step(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        x: &[f64; C],
        temperature_k: f64,
    ) -> Result<(([f64; C], f64), f64), ThermoError> {
        let slopes = self.activity_slopes(x, temperature_k);
        let ln_p = self.ln_vapour_pressures(temperature_k);
        let p_slopes = self.ln_vapour_pressure_slopes(temperature_k);
        // Unknowns x_0..x_C-1, T; equations x_i K_i = y_i and sum x = 1.
        let mut matrix = vec![0.0; (C + 1) * (C + 1)];
        let mut right = vec![0.0; C + 1];
        let ln_pressure = pressure_pa.ln();
        let mut worst: f64 = 0.0;
        for i in 0..C {
            let k_value = (slopes.ln_gamma[i] + ln_p[i] - ln_pressure).exp();
            let vapour = x[i] * k_value;
            for j in 0..C {
                matrix[i * (C + 1) + j] = vapour * slopes.by_fraction[i][j];
            }
            matrix[i * (C + 1) + i] += k_value;
            matrix[i * (C + 1) + C] = vapour * (slopes.by_temperature[i] + p_slopes[i]);
            right[i] = y[i] - vapour;
            worst = worst.max(right[i].abs());
            matrix[C * (C + 1) + i] = 1.0;
        }
        right[C] = 1.0 - x.iter().sum::<f64>();
        worst = worst.max(right[C].abs());
        numerics::linear::solve_dense(&mut matrix, &mut right).map_err(|_| {
            ThermoError::NotConverged {
                what: "dew point",
                iterations: 0,
                residual: worst,
                temperature_k,
                pressure_pa,
                composition: y.to_vec(),
            }
        })?;
        Ok(((std::array::from_fn(|i| right[i]), right[C]), worst))
    }
}
