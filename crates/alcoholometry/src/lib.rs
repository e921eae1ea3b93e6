//! Alcoholometry: density, strength and volume of ethanol-water liquids after OIML R 22, and what
//! follows from them at the bench.
//!
//! [`kernel`] holds raw functions for inner loops; the other modules check what comes in and name
//! the field, the value and the bound of whatever they refuse.

pub mod blend;
mod check;
mod coefficients;
pub mod density;
mod error;
pub mod freezing;
pub mod gauge;
pub mod inverse;
pub mod kernel;
pub mod liquid;
pub mod reduce;
pub mod strength;
pub mod typed;
pub mod uncertainty;
pub mod us;
pub mod volume;
pub mod warming;
pub mod wash;
pub mod weighing;

pub use error::{AlcoholometryError, Field};
