//! Pressure correction: head temperatures as they would be at one standard atmosphere, and what
//! strength a head temperature stands for.
//!
//! The correction is the difference of the boiling temperatures of a liquid of 0.90 ethanol (mole
//! fraction) between the two pressures, as in the model's definition of the plateau.

use alcoholometry::kernel;
use quantities::Pressure;
use thermo::ThermoError;
use thermo::ethanol_water::boiling_point;

use super::numbers::interpolate;

/// Mole fraction whose boiling temperature follows the pressure.
const CORRECTION_X: f64 = 0.90;
/// Time over which readings of the barometer are smoothed, s.
const SMOOTHING_S: f64 = 120.0;
/// Pressures that can be a station's, hPa.
const POSSIBLE_HPA: std::ops::RangeInclusive<f64> = 600.0..=1100.0;

/// The present pressure and what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Barometer {
    hpa: f64,
    read_s: Option<f64>,
    standard_k: f64,
    shift_k: f64,
    /// `(head °C at standard pressure, % vol of the vapour)`, ascending in temperature.
    strengths: Vec<(f64, f64)>,
}

impl Barometer {
    /// At the pressure of the site.
    ///
    /// # Errors
    /// [`ThermoError`] where no boiling point is found.
    pub(super) fn new(site_hpa: f64) -> Result<Self, ThermoError> {
        let standard_pa = Pressure::STANDARD.pascals();
        let (standard_k, _) = boiling_point(CORRECTION_X, standard_pa)?;
        let mut strengths = Vec::with_capacity(120);
        for step in 0..=116_u8 {
            // From nearly water to just below the azeotrope (mole fraction 0.895).
            let share = f64::from(step) / 116.0;
            let x = 0.0005 + 0.8895 * share * share;
            let (temperature_k, y) = boiling_point(x, standard_pa)?;
            strengths.push((temperature_k - 273.15, kernel::strength_percent_20c(y, 1.0 - y)));
        }
        strengths.reverse();
        let mut barometer =
            Self { hpa: site_hpa, read_s: None, standard_k, shift_k: 0.0, strengths };
        barometer.set(site_hpa);
        Ok(barometer)
    }

    fn set(&mut self, hpa: f64) {
        if let Ok((boiling_k, _)) = boiling_point(CORRECTION_X, 100.0 * hpa) {
            self.hpa = hpa;
            self.shift_k = boiling_k - self.standard_k;
        }
    }

    /// Takes a reading; what no station can have is left out.
    pub(super) fn read(&mut self, time_s: f64, hpa: f64) {
        if !POSSIBLE_HPA.contains(&hpa) {
            return;
        }
        let share = self
            .read_s
            .map_or(1.0, |before| 1.0 - (-(time_s - before).max(0.0) / SMOOTHING_S).exp());
        self.read_s = Some(time_s);
        self.set(self.hpa + share * (hpa - self.hpa));
    }

    /// Pressure, hPa.
    #[cfg(test)]
    const fn hpa(&self) -> f64 {
        self.hpa
    }

    /// How much warmer than at standard pressure the head is now, K.
    pub(super) const fn shift_k(&self) -> f64 {
        self.shift_k
    }

    /// Strength of vapour at a head temperature of standard pressure, % vol.
    pub(super) fn strength_at(&self, standard_c: f64) -> f64 {
        interpolate(&self.strengths, standard_c).unwrap_or(0.0)
    }

    /// Head temperature of vapour of that strength at standard pressure, °C.
    pub(super) fn head_of(&self, strength_vol: f64) -> f64 {
        let at = self.strengths.partition_point(|point| point.1 > strength_vol);
        let low = self.strengths[at.saturating_sub(1)];
        let high = self.strengths[at.min(self.strengths.len() - 1)];
        let drop = low.1 - high.1;
        let share = if drop > 0.0 { ((low.1 - strength_vol) / drop).clamp(0.0, 1.0) } else { 0.0 };
        low.0 + share * (high.0 - low.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Barometer;

    #[test]
    fn xval_ten_hectopascals_are_a_quarter_of_a_kelvin() {
        // Azeotrope of ethanol and water, slope 0.025 K/hPa near one atmosphere: computed from
        // vapour pressures in handbooks (0.33 K per 10 torr); here within 5 %.
        let low = Barometer::new(1003.25).unwrap();
        let high = Barometer::new(1023.25).unwrap();
        assert!(((high.shift_k() - low.shift_k()) / 0.50 - 1.0).abs() < 0.05);
    }

    #[test]
    fn prop_strength_and_head_invert_each_other() {
        let barometer = Barometer::new(1013.25).unwrap();
        for strength in [30.0, 55.0, 70.0, 85.0, 93.0, 95.5] {
            let head = barometer.head_of(strength);
            assert!((barometer.strength_at(head) - strength).abs() < 1e-6, "{strength}");
        }
    }

    #[test]
    fn a_weather_front_is_followed_and_nonsense_is_not() {
        let mut barometer = Barometer::new(1000.0).unwrap();
        barometer.read(0.0, 850.0e3);
        assert!((barometer.hpa() - 1000.0).abs() < 1e-9);
        for step in 0..100 {
            barometer.read(f64::from(step) * 30.0, 980.0);
        }
        assert!((barometer.hpa() - 980.0).abs() < 0.1);
    }
}
