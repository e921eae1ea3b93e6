//! Alcoholometry: density, strength and volume of ethanol-water liquids after OIML R 22.
//!
//! [`kernel`] holds raw functions for inner loops; the other modules check what comes in and name
//! the field, the value and the bound of whatever they refuse.

mod coefficients;
pub mod density;
pub mod inverse;
pub mod kernel;
