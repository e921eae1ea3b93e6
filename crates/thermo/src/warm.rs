//! A solved bubble point with all that is needed to go a little way from it.

use crate::activity::Matrices;
use crate::bubble::BubblePoint;

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
    pub(crate) matrices: Matrices<C>,
    pub(crate) matrices_k: f64,
    /// Latent heats there, J/mol, first and second derivatives by temperature.
    pub(crate) kept_latent: [[f64; C]; 3],
    pub(crate) ln_pressure: f64,
    /// y / x of each substance, and ln(gamma ps).
    pub(crate) k_values: [f64; C],
    pub(crate) ln_k: [f64; C],
    /// d ln(gamma ps) / dT at constant x, 1/K.
    pub(crate) k_slopes: [f64; C],
    /// d ln(sum x K) / dT, 1/K.
    pub(crate) sum_slope: f64,
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
            kept_latent: [[latent_j_mol; C], [0.0; C], [0.0; C]],
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

    /// The kept latent heats expanded to another temperature.
    pub(crate) fn latent_by_kept(&self, temperature_k: f64) -> [[f64; C]; 3] {
        let d = temperature_k - self.matrices_k;
        let [value, slope, bend] = &self.kept_latent;
        [
            std::array::from_fn(|i| value[i] + d * (slope[i] + 0.5 * d * bend[i])),
            std::array::from_fn(|i| slope[i] + d * bend[i]),
            *bend,
        ]
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
