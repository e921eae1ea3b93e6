//! Boiling ethanol and water alone: what the bench, the barometer and the plateau need.

use quantities::{MoleFraction, Pressure, Temperature};

use crate::component::Component;
use crate::error::ThermoError;
use crate::mixture::Mixture;

/// A boiling mixture of ethanol and water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boiling {
    /// Boiling temperature.
    pub temperature: Temperature,
    /// Ethanol in the vapour.
    pub vapour: MoleFraction,
}

/// The two-component mixture, built once.
fn mixture() -> &'static Mixture<2> {
    static MIXTURE: std::sync::OnceLock<Mixture<2>> = std::sync::OnceLock::new();
    MIXTURE.get_or_init(|| {
        Mixture::new(&[Component::Water, Component::Ethanol]).expect("two substances fit in two")
    })
}

/// Boiling temperature and vapour of a liquid.
///
/// # Errors
/// [`ThermoError::NotConverged`], with the inputs.
pub fn boiling(liquid: MoleFraction, pressure: Pressure) -> Result<Boiling, ThermoError> {
    let (temperature_k, vapour) = boiling_point(liquid.get(), pressure.pascals())?;
    let wrong = |_| ThermoError::Composition { composition: vec![1.0 - vapour, vapour] };
    Ok(Boiling {
        temperature: Temperature::from_kelvin(temperature_k).map_err(wrong)?,
        vapour: MoleFraction::new(vapour.clamp(0.0, 1.0)).map_err(wrong)?,
    })
}

/// [`boiling`] on raw numbers: mole fraction and Pa in, K and mole fraction out.
///
/// # Errors
/// As [`boiling`].
pub fn boiling_point(x_ethanol: f64, pressure_pa: f64) -> Result<(f64, f64), ThermoError> {
    let bubble = mixture().bubble_point(&[1.0 - x_ethanol, x_ethanol], pressure_pa)?;
    Ok((bubble.temperature_k, bubble.y[1]))
}

/// The temperature of [`boiling_point`], K, from one near it.
///
/// # Errors
/// As [`boiling`].
pub fn boiling_point_near(
    x_ethanol: f64,
    pressure_pa: f64,
    near_k: f64,
) -> Result<f64, ThermoError> {
    let liquid = [1.0 - x_ethanol, x_ethanol];
    Ok(mixture().bubble_point_from(&liquid, pressure_pa, near_k)?.temperature_k)
}

/// Ethanol in the liquid of the azeotrope at `pressure_pa`, with its boiling temperature in K.
///
/// # Errors
/// [`ThermoError::NotConverged`] where vapour and liquid do not cross from 0.5 to 0.9999.
pub fn azeotrope(pressure_pa: f64) -> Result<(f64, f64), ThermoError> {
    let (mut low, mut high) = (0.5, 0.9999);
    // 60 halvings of an interval of 0.5 reach the last bit of a mole fraction.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if boiling_point(middle, pressure_pa)?.1 > middle { low = middle } else { high = middle }
    }
    let x = 0.5 * (low + high);
    Ok((x, boiling_point(x, pressure_pa)?.0))
}
