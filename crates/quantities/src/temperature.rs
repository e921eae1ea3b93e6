//! Thermodynamic temperature; kelvin inside, Celsius and Fahrenheit at the doors.

use crate::check::{in_range, quantity};

quantity! {
    /// Thermodynamic temperature.
    Temperature, "temperature", "K", from_kelvin, kelvin, 223.15, 673.15
}

/// 0 °C in kelvin.
const ICE_POINT_K: f64 = 273.15;

impl Temperature {
    /// 20 °C, the reference of strength and volume nearly everywhere.
    pub const REFERENCE_20C: Self = Self(293.15);

    /// Takes degrees Celsius.
    ///
    /// # Errors
    /// [`OutOfRange`](crate::OutOfRange) (in °C) outside -50..=400.
    pub fn from_celsius(celsius: f64) -> Result<Self, crate::OutOfRange> {
        in_range("temperature", "°C", celsius, -50.0, 400.0).map(|c| Self(c + ICE_POINT_K))
    }

    /// Degrees Celsius.
    #[must_use]
    pub fn celsius(self) -> f64 {
        self.0 - ICE_POINT_K
    }

    /// Degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.celsius() * 1.8 + 32.0
    }
}

#[cfg(test)]
mod tests {
    use super::Temperature;

    #[test]
    fn val_fixed_points_of_the_scales() {
        // ITS-90 and the definition of the Fahrenheit scale: 20 °C = 293.15 K = 68 °F.
        let t = Temperature::from_celsius(20.0).unwrap();
        assert!((t.kelvin() - 293.15).abs() < 1e-12);
        assert!((t.fahrenheit() - 68.0).abs() < 1e-12);
        assert!(Temperature::from_celsius(-300.0).is_err());
    }
}
