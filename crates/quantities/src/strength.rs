//! What a glass reads, as against what is true.

use crate::check::quantity;

quantity! {
    /// What a glass alcoholometer shows, in per cent by volume of its own scale; only true at
    /// the temperature the scale is made for.
    ApparentStrength, "alcoholometer reading", "% vol", from_reading, reading, 0.0, 100.0
}
