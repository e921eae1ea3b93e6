//! Pure substances: vapour pressure, latent heat, heat capacity and density by their equations.

use crate::component::Component;
use crate::reference::{Coefficients, VapourPressure, tables};

/// One substance and its coefficients.
#[derive(Debug, Clone, Copy)]
pub struct PureSubstance {
    pub(crate) coefficients: Coefficients,
}

impl PureSubstance {
    /// The substance of that component.
    #[must_use]
    pub fn of(component: Component) -> Self {
        Self { coefficients: tables().pure[component.index()] }
    }

    /// Molar mass, g/mol.
    #[must_use]
    pub const fn molar_mass_g_mol(&self) -> f64 {
        self.coefficients.molar_mass_g_mol
    }

    /// ln of the vapour pressure in Pa, and its derivative by temperature in 1/K.
    #[must_use]
    pub fn ln_vapour_pressure(&self, temperature_k: f64) -> (f64, f64) {
        match self.coefficients.vapour_pressure {
            VapourPressure::Antoine { a, b_k, c_k } => {
                let shifted = temperature_k + c_k;
                (a + b_k / shifted, -b_k / (shifted * shifted))
            }
            VapourPressure::Wagner { tc_k, pc_pa, abcd } => {
                let (reduced, slope) = wagner(tc_k, abcd, temperature_k);
                (pc_pa.ln() + reduced, slope)
            }
        }
    }

    /// Latent heat in J/mol with its first and second derivative by temperature (PPDS12).
    #[must_use]
    pub fn latent_heat(&self, temperature_k: f64) -> [f64; 3] {
        let [tc_k, a, b, c, d, e] = self.coefficients.latent;
        let t = (1.0 - temperature_k / tc_k).max(1e-6);
        let third = t.cbrt();
        let (t2, t4) = (t * t, t * t * t * t);
        let scale = crate::GAS_CONSTANT_J_MOL_K * tc_k;
        let value = a * third + b * third * third + c * t + d * t2 + e * t4 * t2;
        let first = a / (3.0 * third * third)
            + 2.0 * b / (3.0 * third)
            + c
            + 2.0 * d * t
            + 6.0 * e * t4 * t;
        let second = -2.0 * a / (9.0 * third * third * t) - 2.0 * b / (9.0 * third * t)
            + 2.0 * d
            + 30.0 * e * t4;
        [scale * value, -scale * first / tc_k, scale * second / (tc_k * tc_k)]
    }

    /// Heat capacity of the liquid, J/(mol K).
    #[must_use]
    pub fn heat_capacity_liquid(&self, temperature_k: f64) -> f64 {
        polynomial(self.coefficients.cp_liquid, temperature_k)
    }

    /// Heat capacity of the ideal gas, J/(mol K).
    #[must_use]
    pub fn heat_capacity_gas(&self, temperature_k: f64) -> f64 {
        polynomial(self.coefficients.cp_gas, temperature_k)
    }

    /// Enthalpy of the pure liquid above 298.15 K, J/mol.
    #[must_use]
    pub fn liquid_enthalpy(&self, temperature_k: f64) -> f64 {
        let [c0, c1, c2] = self.coefficients.cp_liquid;
        let d = temperature_k - REFERENCE_K;
        d * (c0 + d * (c1 / 2.0 + d * c2 / 3.0))
    }

    /// Density of the pure liquid, kg/m³ (PPDS2).
    #[must_use]
    pub fn liquid_density(&self, temperature_k: f64) -> f64 {
        let [tc_k, critical, a, b, c, d] = self.coefficients.density;
        let t = (1.0 - temperature_k / tc_k).max(0.0);
        let third = t.cbrt();
        critical + a * t.powf(0.35) + b * third * third + c * t + d * t * third
    }
}

/// Temperature about which heat capacities are expanded and enthalpies are zero, K.
pub(crate) const REFERENCE_K: f64 = 298.15;

fn polynomial([c0, c1, c2]: [f64; 3], temperature_k: f64) -> f64 {
    let d = temperature_k - REFERENCE_K;
    c0 + d * (c1 + d * c2)
}

/// Wagner 2.5-5: ln(p / pc) and its derivative by temperature.
#[inline(always)]
pub(crate) fn wagner(tc_k: f64, [a, b, c, d]: [f64; 4], temperature_k: f64) -> (f64, f64) {
    let t = (1.0 - temperature_k / tc_k).max(0.0);
    let root = t.sqrt();
    let t4 = t * t * t * t;
    let sum = t * (a + root * (b + t * c)) + d * t4 * t;
    let slope = a + root * (1.5 * b + 2.5 * c * t) + 5.0 * d * t4;
    let reduced = sum * tc_k / temperature_k;
    (reduced, -(reduced + slope) / temperature_k)
}

/// Vapour pressure, Pa. Valid from 285 to 400 K.
#[must_use]
pub fn vapour_pressure_pa(component: Component, temperature_k: f64) -> f64 {
    PureSubstance::of(component).ln_vapour_pressure(temperature_k).0.exp()
}

/// Latent heat, J/mol. Valid from 285 to 400 K.
#[must_use]
pub fn latent_heat_j_mol(component: Component, temperature_k: f64) -> f64 {
    PureSubstance::of(component).latent_heat(temperature_k)[0]
}

/// Heat capacity of the liquid, J/(mol K). Valid from 285 to 375 K.
#[must_use]
pub fn heat_capacity_liquid_j_mol_k(component: Component, temperature_k: f64) -> f64 {
    PureSubstance::of(component).heat_capacity_liquid(temperature_k)
}

/// Density of the pure liquid, kg/m³. Valid from 285 to 400 K.
#[must_use]
pub fn liquid_density_kg_m3(component: Component, temperature_k: f64) -> f64 {
    PureSubstance::of(component).liquid_density(temperature_k)
}
