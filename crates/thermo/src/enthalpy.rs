//! Molar enthalpies, zero for each pure liquid at 298.15 K, ideal gas vapour.

use crate::mixture::Mixture;

impl<const C: usize> Mixture<C> {
    /// Enthalpy of the liquid without its excess, J/mol.
    #[must_use]
    pub fn liquid_enthalpy_ideal(&self, x: &[f64; C], temperature_k: f64) -> f64 {
        (0..C).map(|i| x[i] * self.pure[i].liquid_enthalpy(temperature_k)).sum()
    }

    /// Excess enthalpy that the NRTL equation implies, J/mol: `-R T² sum x_i dln gamma_i/dT`.
    /// Not checked against calorimetry, and left out of the still by design.
    #[must_use]
    pub fn excess_enthalpy_nrtl(&self, x: &[f64; C], temperature_k: f64) -> f64 {
        let slopes = self.activity_slopes(x, temperature_k).by_temperature;
        let sum: f64 = (0..C).map(|i| x[i] * slopes[i]).sum();
        -crate::GAS_CONSTANT_J_MOL_K * temperature_k * temperature_k * sum
    }

    /// Enthalpy of the vapour, J/mol: liquid enthalpy plus latent heat.
    #[must_use]
    pub fn vapour_enthalpy(&self, y: &[f64; C], temperature_k: f64) -> f64 {
        (0..C)
            .map(|i| {
                let substance = &self.pure[i];
                y[i] * (substance.liquid_enthalpy(temperature_k)
                    + substance.latent_heat(temperature_k)[0])
            })
            .sum()
    }
}
