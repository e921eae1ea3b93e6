//! Volumes and masses: a volume at the bench and at 20 °C, and the mass behind it.

use crate::kernel;

/// Litres at 20 °C of litres measured at a temperature in °C, for a mass fraction of ethanol.
#[must_use]
pub fn litres_20c(litres: f64, celsius: f64, mass_fraction: f64) -> f64 {
    litres * factor(mass_fraction, celsius, 20.0)
}

/// Litres at a temperature in °C of litres at 20 °C.
#[must_use]
pub fn litres_at(litres_20c: f64, celsius: f64, mass_fraction: f64) -> f64 {
    litres_20c * factor(mass_fraction, 20.0, celsius)
}

/// What a volume at `celsius` is multiplied by to become a volume at `reference_celsius`.
#[must_use]
pub fn factor(mass_fraction: f64, celsius: f64, reference_celsius: f64) -> f64 {
    kernel::density_kg_m3(mass_fraction, celsius)
        / kernel::density_kg_m3(mass_fraction, reference_celsius)
}

/// True mass in kg of litres measured at a temperature in °C.
#[must_use]
pub fn mass_kg(litres: f64, celsius: f64, mass_fraction: f64) -> f64 {
    litres * kernel::density_kg_m3(mass_fraction, celsius) / 1000.0
}

/// Litres at a temperature in °C of a true mass in kg.
#[must_use]
pub fn litres(mass_kg: f64, celsius: f64, mass_fraction: f64) -> f64 {
    1000.0 * mass_kg / kernel::density_kg_m3(mass_fraction, celsius)
}
