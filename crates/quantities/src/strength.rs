//! Strength by volume at its reference temperature, US proof, and what a glass reads.

use crate::check::{in_range, quantity};

quantity! {
    /// Volume of ethanol per volume of liquid, both at 20 °C (0..1).
    VolumeStrength, "strength by volume at 20 °C", "L/L", from_fraction, fraction, 0.0, 1.0
}
quantity! {
    /// US proof: twice the per cent by volume with both volumes at 60 °F.
    Proof60F, "US proof at 60 °F", "proof", from_degrees, degrees, 0.0, 200.0
}
quantity! {
    /// What a glass alcoholometer shows, in per cent by volume of its own scale; only true at
    /// the temperature the scale is made for.
    ApparentStrength, "alcoholometer reading", "% vol", from_reading, reading, 0.0, 100.0
}

impl VolumeStrength {
    /// Takes per cent by volume at 20 °C.
    ///
    /// # Errors
    /// [`OutOfRange`](crate::OutOfRange) (in % vol) outside 0..=100.
    pub fn from_percent(percent: f64) -> Result<Self, crate::OutOfRange> {
        in_range("strength by volume at 20 °C", "% vol", percent, 0.0, 100.0)
            .map(|p| Self(p / 100.0))
    }

    /// Per cent by volume at 20 °C.
    #[must_use]
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }
}
