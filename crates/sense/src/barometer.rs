//! The one pressure correction: how much warmer than elsewhere things boil at the present pressure.
//!
//! It is the difference of the boiling temperatures of a liquid of 0.85 ethanol (mole fraction)
//! between two pressures. That is how the collection of recordings with known truth defines its
//! plateaus.

use quantities::Pressure;
use thermo::ThermoError;
use thermo::ethanol_water::{boiling_point, boiling_point_near};

use crate::probe::Probe;

/// Mole fraction whose boiling temperature follows the pressure (the recordings' definition).
const CORRECTION_X: f64 = 0.85;
/// Time over which readings of the barometer are smoothed, s (judgement: weather is slower, the
/// noise of a cheap sensor faster).
const SMOOTHING_S: f64 = 60.0;
/// The correction is reckoned anew when the pressure has moved this far, hPa: 0.0003 K.
const MOVED_HPA: f64 = 0.01;

/// The present pressure and what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Barometer {
    hpa: f64,
    reckoned_hpa: f64,
    read_s: Option<f64>,
    readings: u32,
    standard_k: f64,
    site_k: f64,
    boiling_k: f64,
}

impl Barometer {
    /// At the pressure of the site.
    ///
    /// # Errors
    /// [`ThermoError`] where no boiling point is found.
    pub fn new(site_hpa: f64) -> Result<Self, ThermoError> {
        let (standard_k, _) = boiling_point(CORRECTION_X, Pressure::STANDARD.pascals())?;
        let (site_k, _) = boiling_point(CORRECTION_X, 100.0 * site_hpa)?;
        Ok(Self {
            hpa: site_hpa,
            reckoned_hpa: site_hpa,
            read_s: None,
            readings: 0,
            standard_k,
            site_k,
            boiling_k: site_k,
        })
    }

    /// Takes a reading; what no station can have is left out.
    pub fn read(&mut self, time_s: f64, hpa: f64) {
        let (low, high) = Probe::Pressure.possible();
        if !(low..=high).contains(&hpa) {
            return;
        }
        let share = self
            .read_s
            .map_or(1.0, |before| 1.0 - (-(time_s - before).max(0.0) / SMOOTHING_S).exp());
        self.read_s = Some(time_s);
        self.readings = self.readings.saturating_add(1);
        self.hpa += share * (hpa - self.hpa);
        if (self.hpa - self.reckoned_hpa).abs() >= MOVED_HPA
            && let Ok(boiling_k) =
                boiling_point_near(CORRECTION_X, 100.0 * self.hpa, self.boiling_k)
        {
            self.reckoned_hpa = self.hpa;
            self.boiling_k = boiling_k;
        }
    }

    /// Pressure, smoothed, hPa.
    #[must_use]
    pub const fn hpa(&self) -> f64 {
        self.hpa
    }

    /// How many readings were taken.
    #[must_use]
    pub const fn readings(&self) -> u32 {
        self.readings
    }

    /// How much warmer than at standard pressure the head is now, K.
    #[must_use]
    pub fn shift_k(&self) -> f64 {
        self.boiling_k - self.standard_k
    }

    /// How much warmer than at the pressure stated for the site the head is now, K.
    #[must_use]
    pub fn over_site_k(&self) -> f64 {
        self.boiling_k - self.site_k
    }
}

#[cfg(test)]
mod tests {
    use super::Barometer;

    #[test]
    fn prop_ten_hectopascals_are_a_quarter_of_a_kelvin() {
        // Azeotrope of ethanol and water, slope 0.025 K/hPa near one atmosphere: computed from
        // vapour pressures in handbooks (0.33 K per 10 torr); here within 5 %.
        let low = Barometer::new(1003.25).unwrap();
        let high = Barometer::new(1023.25).unwrap();
        assert!(((high.shift_k() - low.shift_k()) / 0.50 - 1.0).abs() < 0.05);
    }

    #[test]
    fn prop_a_barometer_at_another_pressure_agrees_with_a_site_there() {
        let mut read = Barometer::new(1000.0).unwrap();
        read.read(0.0, 980.0);
        let there = Barometer::new(980.0).unwrap();
        assert!((read.shift_k() - there.shift_k()).abs() < 1e-9);
        assert!(
            (read.over_site_k() - (there.shift_k() - Barometer::new(1000.0).unwrap().shift_k()))
                .abs()
                < 1e-9
        );
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
