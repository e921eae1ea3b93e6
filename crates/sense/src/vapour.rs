//! What strength a head temperature stands for, and back, brought to standard pressure.

use alcoholometry::kernel;
use thermo::ThermoError;
use thermo::ethanol_water::boiling_point;

use crate::barometer::Barometer;
use crate::numbers::interpolate;

/// Points of the table.
const POINTS: u8 = 116;

/// Strength of vapour by its temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct VapourStrength {
    /// `(head °C brought to standard pressure, % vol of the vapour)`, ascending in temperature.
    points: Vec<(f64, f64)>,
}

impl VapourStrength {
    /// The table, from nearly water to just below the azeotrope (mole fraction 0.895), of a place at
    /// that pressure: weak vapour cools by more than strong on the way up a mountain, and the one
    /// correction of [`Barometer`] is that of strong vapour. What is left of it in any weather of the
    /// place is under 0.1 K.
    ///
    /// # Errors
    /// [`ThermoError`] where no boiling point is found.
    pub fn of_site(site_hpa: f64) -> Result<Self, ThermoError> {
        let shift_k = Barometer::new(site_hpa)?.shift_k();
        let mut points = Vec::with_capacity(usize::from(POINTS) + 1);
        for step in 0..=POINTS {
            let share = f64::from(step) / f64::from(POINTS);
            let x = 0.0005 + 0.8895 * share * share;
            let (temperature_k, y) = boiling_point(x, 100.0 * site_hpa)?;
            points
                .push((temperature_k - 273.15 - shift_k, kernel::strength_percent_20c(y, 1.0 - y)));
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
    use super::{Barometer, VapourStrength, boiling_point, kernel};

    #[test]
    fn prop_strength_and_head_invert_each_other() {
        let table = VapourStrength::of_site(1013.25).unwrap();
        for strength in [30.0, 55.0, 70.0, 85.0, 93.0, 95.5] {
            let head = table.head_of(strength);
            assert!((table.strength_at(head) - strength).abs() < 1e-6, "{strength}");
        }
    }

    #[test]
    fn prop_a_head_on_a_mountain_shows_the_strength_that_boils_there() {
        for hpa in [500.0, 700.0, 850.0, 1040.0] {
            let table = VapourStrength::of_site(hpa).unwrap();
            for x in [0.005, 0.02, 0.1, 0.5, 0.85] {
                let (head_k, y) = boiling_point(x, 100.0 * hpa).unwrap();
                let right = kernel::strength_percent_20c(y, 1.0 - y);
                let shift_k = Barometer::new(hpa).unwrap().shift_k();
                let shown = table.strength_at(head_k - 273.15 - shift_k);
                assert!((shown - right).abs() < 0.3, "{hpa} {x}: {shown} {right}");
            }
        }
    }
}
