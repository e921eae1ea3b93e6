//! The part of a charge that came as feints of an earlier run.

use serde::{Deserialize, Serialize};

/// The part of a charge that is feints. It is in the litres and the strength of the charge: here
/// stands where it came from.
///
/// What feints bring of congeners is not known and is not guessed from it: name the congeners of the
/// charge where an analysis tells them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeintsPart {
    /// Litres at 20 °C.
    pub litres: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
}

impl FeintsPart {
    /// Pure alcohol, L.
    #[must_use]
    pub fn pure_alcohol_l(&self) -> f64 {
        self.litres * self.strength_vol / 100.0
    }
}
