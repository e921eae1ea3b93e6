//! The checks every door of this crate makes before it computes.

use crate::density::{CELSIUS_HIGH, CELSIUS_LOW};
use crate::error::{AlcoholometryError, Field};
use crate::freezing;

/// A bound with its unit and the hint that goes with it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bound {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
    pub(crate) hint: &'static str,
}

impl Bound {
    pub(crate) const STRENGTH_VOL: Self = Self {
        low: 0.0,
        high: 100.0,
        unit: "% vol",
        hint: "strength is per cent by volume at 20 °C",
    };
    pub(crate) const CELSIUS: Self = Self {
        low: CELSIUS_LOW,
        high: CELSIUS_HIGH,
        unit: "°C",
        hint: "the density formula ends there; cool or warm the sample, 20 °C is best",
    };
    pub(crate) const CELSIUS_WITH_WATER: Self = Self {
        low: 0.0,
        high: CELSIUS_HIGH,
        unit: "°C",
        hint: "spirit and water both have this temperature; below 0 °C the water would be ice",
    };
    pub(crate) const LITRES: Self =
        Self { low: 0.0, high: 100_000.0, unit: "L", hint: "volume is in litres" };

    /// A standard deviation, at most `high`.
    pub(crate) const fn deviation(high: f64, unit: &'static str) -> Self {
        Self { low: 0.0, high, unit, hint: "a standard deviation is not negative; 0 means exact" }
    }

    /// Returns `value` where it lies within the bound; NaN never does.
    pub(crate) fn check(&self, field: Field, value: f64) -> Result<f64, AlcoholometryError> {
        if value >= self.low && value <= self.high {
            return Ok(value);
        }
        let Self { low, high, unit, hint } = *self;
        Err(AlcoholometryError::OutOfRange { field, value, low, high, unit, hint })
    }

    /// [`Bound::check`] for a field that stands alone.
    pub(crate) fn named(&self, name: &'static str, value: f64) -> Result<f64, AlcoholometryError> {
        self.check(Field::named(name), value)
    }
}

/// Returns the mass fraction where all of it is liquid at `celsius`.
pub(crate) fn liquid(
    field: Field,
    mass_fraction: f64,
    celsius: f64,
) -> Result<f64, AlcoholometryError> {
    let low = freezing::mass_fraction_low(celsius);
    if mass_fraction >= low {
        return Ok(mass_fraction);
    }
    let (value, low) = (100.0 * mass_fraction, 100.0 * low);
    Err(AlcoholometryError::Frozen { field, value, low, celsius })
}
