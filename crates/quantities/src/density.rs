//! Density in vacuum (not by the apparent weight in air).

use crate::check::quantity;

quantity! {
    /// True density of a liquid.
    Density, "density", "kg/m³", from_kg_m3, kg_m3, 600.0, 1500.0
}
