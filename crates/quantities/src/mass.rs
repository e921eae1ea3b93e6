//! Mass and density in vacuum (not the apparent weight in air).

use crate::check::quantity;

quantity! {
    /// True mass.
    Mass, "mass", "kg", from_kilograms, kilograms, 0.0, 1.0e6
}
quantity! {
    /// True density of a liquid.
    Density, "density", "kg/m³", from_kg_m3, kg_m3, 600.0, 1500.0
}
