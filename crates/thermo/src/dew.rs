//! Dew points: the liquid that would be in equilibrium with a vapour, by Newton's method.

use crate::error::ThermoError;
use crate::mixture::Mixture;

/// Iterations after which a dew point is given up; 3 to 6 are usual.
const ITERATIONS_MAX: usize = 60;
/// Longest step in the logarithm of a fraction, and in temperature, K.
const LOG_STEP_MAX: f64 = 2.0;
const STEP_MAX_K: f64 = 20.0;
/// A residual (mole fraction) this small before a Newton step leaves its square after it, in the
/// temperature; the liquid's share of a mere trace is within this residual.
const RESIDUAL_TOLERANCE: f64 = 1e-6;
/// Most substances, and unknowns with the temperature: the system is solved without an allocation.
const SUBSTANCES_MAX: usize = 15;
const WIDTH_MAX: usize = SUBSTANCES_MAX + 1;

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
    /// Unknowns are the logarithms of the liquid's fractions, so that none can become negative;
    /// a substance whose `y` is zero (or negative by an integrator's rounding) is not there.
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
        let start: [f64; C] = std::array::from_fn(|i| match (y[i] > 0.0, x_start[i] > 0.0) {
            (false, _) => 0.0,
            (true, true) => x_start[i],
            (true, false) => y[i],
        });
        let vapour: f64 = y.iter().filter(|y| **y > 0.0).sum();
        let y: [f64; C] = y.map(|y| y.max(0.0) / vapour);
        // Where the way from the given liquid leads nowhere, that from the vapour's own may not.
        self.dew_from(&y, pressure_pa, start, start_k)
            .or_else(|failed| self.dew_from(&y, pressure_pa, y, start_k).map_err(|_| failed))
    }

    /// Newton's method from one start.
    fn dew_from(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        mut x: [f64; C],
        mut temperature_k: f64,
    ) -> Result<DewPoint<C>, ThermoError> {
        let mut residual = f64::INFINITY;
        for _ in 0..ITERATIONS_MAX {
            let (step, step_k, worst) = self.dew_step(y, pressure_pa, &x, temperature_k)?;
            residual = worst;
            let longest = step.iter().fold(step_k.abs() / STEP_MAX_K, |longest, step| {
                longest.max(step.abs() / LOG_STEP_MAX)
            });
            let factor = 1.0 / longest.max(1.0);
            for i in 0..C {
                x[i] *= (factor * step[i]).exp();
            }
            temperature_k += factor * step_k;
            if worst < RESIDUAL_TOLERANCE {
                return Ok(DewPoint { temperature_k, x });
            }
        }
        Err(not_converged(ITERATIONS_MAX, residual, temperature_k, pressure_pa, y))
    }

    /// One Newton step in ln x and T, and the largest residual (mole fraction) before it.
    fn dew_step(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        x: &[f64; C],
        temperature_k: f64,
    ) -> Result<([f64; C], f64, f64), ThermoError> {
        let slopes = self.activity_slopes(x, temperature_k);
        let ln_p = self.ln_vapour_pressures(temperature_k);
        let p_slopes = self.ln_vapour_pressure_slopes(temperature_k);
        // Equations ln(x_i K_i / y_i) = 0 and sum x = 1.
        let width = C + 1;
        const { assert!(C <= SUBSTANCES_MAX) };
        let mut matrix = [0.0; WIDTH_MAX * WIDTH_MAX];
        let mut right = [0.0; WIDTH_MAX];
        let (matrix, right) = (&mut matrix[..width * width], &mut right[..width]);
        let ln_pressure = pressure_pa.ln();
        let mut worst: f64 = 0.0;
        for i in 0..C {
            matrix[i * width + i] = 1.0;
            if x[i] <= 0.0 {
                continue;
            }
            let ln_k = slopes.ln_gamma[i] + ln_p[i] - ln_pressure;
            for j in 0..C {
                matrix[i * width + j] += x[j] * slopes.by_fraction[i][j];
            }
            matrix[i * width + C] = slopes.by_temperature[i] + p_slopes[i];
            right[i] = y[i].ln() - x[i].ln() - ln_k;
            worst = worst.max((x[i] * ln_k.exp() - y[i]).abs());
            matrix[C * width + i] = x[i];
        }
        right[C] = 1.0 - x.iter().sum::<f64>();
        worst = worst.max(right[C].abs());
        numerics::linear::solve_dense(matrix, right)
            .map_err(|_| not_converged(0, worst, temperature_k, pressure_pa, y))?;
        Ok((std::array::from_fn(|i| right[i]), right[C], worst))
    }
}

fn not_converged(
    iterations: usize,
    residual: f64,
    temperature_k: f64,
    pressure_pa: f64,
    composition: &[f64],
) -> ThermoError {
    ThermoError::NotConverged {
        what: "dew point",
        iterations,
        residual,
        temperature_k,
        pressure_pa,
        composition: composition.to_vec(),
    }
}
