//! Physical quantities whose type says the basis, not only the unit: what a number means when it
//! passes a door. Kernels work on raw `f64` in SI units and convert once, here.
//!
//! Run time and any other span, a heater's power, the station's pressure, what a glass reads and
//! what is true: each has a type of its own, so that mixing them up does not compile. Every
//! constructor refuses NaN, infinities and values out of range, and says the bound.

mod band;
mod band_arithmetic;
mod check;
mod composition;
mod energy;
mod parse;
mod pressure;
mod strength;
mod temperature;
mod time;
mod unit;

pub use band::{Band, FOUR_IN_FIVE};
pub use check::OutOfRange;
pub use composition::MoleFraction;
pub use energy::Power;
pub use parse::{ParseNumber, parse_decimal, parse_typed};
pub use pressure::Pressure;
pub use strength::ApparentStrength;
pub use temperature::Temperature;
pub use time::RunTime;
pub use unit::{TypedValue, Unit, parse_typed_in, split_typed};
