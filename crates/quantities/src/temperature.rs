//! Thermodynamic temperature; kelvin inside, Celsius where it is shown.

use crate::check::quantity;

quantity! {
    /// Thermodynamic temperature.
    Temperature, "temperature", "K", from_kelvin, kelvin, 223.15, 673.15
}

/// 0 °C in kelvin.
const ICE_POINT_K: f64 = 273.15;

impl Temperature {
    /// Degrees Celsius.
    #[must_use]
    pub fn celsius(self) -> f64 {
        self.0 - ICE_POINT_K
    }
}

#[cfg(test)]
mod tests {
    use super::Temperature;

    #[test]
    fn val_fixed_points_of_the_scales() {
        // ITS-90: the triple point of water, 273.16 K, is 0.01 °C.
        let t = Temperature::from_kelvin(273.16).unwrap();
        assert!((t.celsius() - 0.01).abs() < 1e-12);
        assert!(Temperature::from_kelvin(-27.0).is_err());
    }
}
