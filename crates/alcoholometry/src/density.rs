//! Density of ethanol-water liquids: the general formula of OIML R 22 and its exact derivatives.
//!
//! Range: -20 to 40 °C, from the freezing limit (see [`freezing`](crate::freezing)) to pure ethanol.

use crate::coefficients::{A, B, C1, C2, C3, C4, C5};

/// 60 °F in degrees Celsius, the reference of US proof.
pub const SIXTY_FAHRENHEIT_C: f64 = 140.0 / 9.0;
/// Lowest temperature of the general formula, °C.
pub const CELSIUS_LOW: f64 = -20.0;
/// Highest temperature of the general formula, °C.
pub const CELSIUS_HIGH: f64 = 40.0;
/// Density of pure ethanol at 20 °C, kg/m³: the sum of the coefficients `A`.
pub const ETHANOL_DENSITY_20C_KG_M3: f64 = Isotherm::AT_20C.density_kg_m3(1.0);
/// Density of pure water at 20 °C, kg/m³: the first of the coefficients `A`.
pub const WATER_DENSITY_20C_KG_M3: f64 = A[0];

/// Density along one temperature: the two-dimensional formula collapsed into twelve powers of the
/// mass fraction, so that many strengths at one temperature cost one polynomial each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Isotherm {
    powers: [f64; 12],
}

impl Isotherm {
    /// The isotherm of 20 °C, where only the coefficients `A` remain.
    pub const AT_20C: Self = Self { powers: A };

    /// The isotherm of a temperature in °C.
    #[must_use]
    pub fn at(celsius: f64) -> Self {
        let s = celsius - 20.0;
        let mut powers = A;
        powers[0] += B.iter().rev().fold(0.0, |sum, b| (sum + b) * s);
        for (k, power) in powers.iter_mut().enumerate().skip(1) {
            *power += column(k).iter().rev().fold(0.0, |sum, c| (sum + c) * s);
        }
        Self { powers }
    }

    /// The derivative of [`Isotherm::at`] in temperature, kg/m³ per K.
    #[must_use]
    pub fn slope_at(celsius: f64) -> Self {
        let s = celsius - 20.0;
        let derivative = |c: &[f64]| {
            c.iter().enumerate().rev().fold(0.0, |sum, (i, c)| sum * s + c * (i + 1) as f64)
        };
        let mut powers = [0.0; 12];
        powers[0] = derivative(&B);
        for (k, power) in powers.iter_mut().enumerate().skip(1) {
            *power = derivative(&column(k));
        }
        Self { powers }
    }

    /// Density in kg/m³ at a mass fraction of ethanol (0..1).
    #[must_use]
    pub const fn density_kg_m3(&self, mass_fraction: f64) -> f64 {
        self.density_and_slope(mass_fraction).0
    }

    /// Density in kg/m³ and its derivative in the mass fraction.
    #[must_use]
    pub const fn density_and_slope(&self, mass_fraction: f64) -> (f64, f64) {
        let mut value = self.powers[11];
        let mut slope = 0.0;
        let mut k = 11;
        while k > 0 {
            k -= 1;
            slope = slope * mass_fraction + value;
            value = value * mass_fraction + self.powers[k];
        }
        (value, slope)
    }
}

/// The coefficients `C` of power `k` of the mass fraction, by rising power of `t - 20`.
const fn column(k: usize) -> [f64; 5] {
    const fn or_zero(row: &[f64], k: usize) -> f64 {
        if k <= row.len() { row[k - 1] } else { 0.0 }
    }
    [or_zero(&C1, k), or_zero(&C2, k), or_zero(&C3, k), or_zero(&C4, k), or_zero(&C5, k)]
}

/// Density in kg/m³ of a mass fraction (0..1) at a temperature in °C.
#[must_use]
pub fn density_kg_m3(mass_fraction: f64, celsius: f64) -> f64 {
    Isotherm::at(celsius).density_kg_m3(mass_fraction)
}

#[cfg(test)]
mod tests {
    use super::{ETHANOL_DENSITY_20C_KG_M3, Isotherm, density_kg_m3};

    #[test]
    fn val_pure_liquids_at_20c() {
        // OIML R 22: 998.20123 for water (coefficient A1) and 789.239 for ethanol.
        assert!((ETHANOL_DENSITY_20C_KG_M3 - 789.239).abs() < 5e-4);
        assert!((density_kg_m3(0.0, 20.0) - 998.201).abs() < 5e-4);
    }

    #[test]
    fn prop_derivatives_agree_with_differences() {
        for t in [-20.0, -3.0, 15.0, 20.0, 40.0] {
            for p in [0.05, 0.4, 0.7, 0.97] {
                let h = 1e-5;
                let (_, slope) = Isotherm::at(t).density_and_slope(p);
                let by_p = (density_kg_m3(p + h, t) - density_kg_m3(p - h, t)) / (2.0 * h);
                assert!((slope - by_p).abs() < 1e-4, "p {p} t {t}: {slope} {by_p}");
                let warmth = Isotherm::slope_at(t).density_kg_m3(p);
                let k = 1e-3;
                let by_t = (density_kg_m3(p, t + k) - density_kg_m3(p, t - k)) / (2.0 * k);
                assert!((warmth - by_t).abs() < 1e-5, "p {p} t {t}: {warmth} {by_t}");
            }
        }
    }
}
