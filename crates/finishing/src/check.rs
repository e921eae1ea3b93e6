//! The checks every door of this crate makes before it reckons.

use crate::error::FinishingError;

/// A bound with its unit and the hint that goes with it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bound {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
    pub(crate) hint: &'static str,
}

impl Bound {
    /// A strength at the bench.
    pub(crate) const STRENGTH: Self =
        Self::new(0.1, 97.2, "% vol", "strength is per cent by volume at 20 °C");
    /// Litres of a liquid.
    pub(crate) const LITRES: Self = Self::new(1e-6, 100_000.0, "L", "volume is in litres");

    pub(crate) const fn new(low: f64, high: f64, unit: &'static str, hint: &'static str) -> Self {
        Self { low, high, unit, hint }
    }

    /// Returns `value` where it lies within the bound; NaN never does.
    pub(crate) fn check(
        &self,
        field: impl Into<String>,
        value: f64,
    ) -> Result<f64, FinishingError> {
        if value >= self.low && value <= self.high {
            return Ok(value);
        }
        let Self { low, high, unit, hint } = *self;
        Err(FinishingError::OutOfRange { field: field.into(), value, low, high, unit, hint })
    }
}
