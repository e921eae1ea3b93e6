//! Physical quantities whose type says the basis, not only the unit: what a number means when it
//! passes a door. Kernels work on raw `f64` in SI units and convert once, here.
//!
//! A strength by volume and a strength by mass, what the glass reads and what is true: each is a
//! type of its own, so that mixing them up does not compile. Every constructor refuses NaN, infinities and values out of range, and says the bound.

mod band;
mod band_arithmetic;
mod check;
mod composition;
mod density;
mod energy;
mod parse;
mod pressure;
mod strength;
mod temperature;
mod time;

pub use band::{Band, FOUR_IN_FIVE};
pub use check::OutOfRange;
pub use composition::{MassFraction, MoleFraction};
pub use density::Density;
pub use energy::Power;
pub use parse::{ParseNumber, parse_decimal, parse_typed};
pub use pressure::Pressure;
pub use strength::{ApparentStrength, Proof60F, VolumeStrength};
pub use temperature::Temperature;
pub use time::RunTime;
