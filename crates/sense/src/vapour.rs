//! What strength a head temperature stands for, and back, at standard pressure.

use alcoholometry::kernel;
use quantities::Pressure;
use thermo::ThermoError;
use thermo::ethanol_water::boiling_point;

use crate::numbers::interpolate;

/// Points of the table.
const POINTS: u8 = 116;

/// Strength of vapour by its temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct VapourStrength {
    /// `(head °C at standard pressure, % vol of the vapour)`, ascending in temperature.
    points: Vec<(f64, f64)>,
}

impl VapourStrength {
    /// The table, from nearly water to just below the azeotrope (mole fraction 0.895).
    ///
    /// # Errors
    /// [`ThermoError`] where no boiling point is found.
    pub fn new() -> Result<Self, ThermoError> {
        let mut points = Vec::with_capacity(usize::from(POINTS) + 1);
        for step in 0..=POINTS {
            let share = f64::from(step) / f64::from(POINTS);
            let x = 0.0005 + 0.8895 * share * share;
            let (temperature_k, y) = boiling_point(x, Pressure::STANDARD.pascals())?;
            points.push((temperature_k - 273.15, kernel::strength_percent_20c(y, 1.0 - y)));
        }
        points.reverse();
        Ok(Self { points })
    }

    /// Strength of vapour at a head temperature of standard pressure, % vol.
    #[must_use]
    pub fn strength_at(&self, standard_c: f64) -> f64 {
        interpolate(&self.points, standard_c).unwrap_or(0.0)
    }

    /// Head temperature of vapour of that strength at standard pressure, °C.
    #[must_use]
    pub fn head_of(&self, strength_vol: f64) -> f64 {
        let at = self.points.partition_point(|point| point.1 > strength_vol);
        let low = self.points[at.saturating_sub(1)];
        let high = self.points[at.min(self.points.len() - 1)];
        let drop = low.1 - high.1;
        let share = if drop > 0.0 { ((low.1 - strength_vol) / drop).clamp(0.0, 1.0) } else { 0.0 };
        low.0 + share * (high.0 - low.0)
    }
}

#[cfg(test)]
mod tests {
    use super::VapourStrength;

    #[test]
    fn prop_strength_and_head_invert_each_other() {
        let table = VapourStrength::new().unwrap();
        for strength in [30.0, 55.0, 70.0, 85.0, 93.0, 95.5] {
            let head = table.head_of(strength);
            assert!((table.strength_at(head) - strength).abs() < 1e-6, "{strength}");
        }
    }
}
