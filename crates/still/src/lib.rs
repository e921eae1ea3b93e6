//! The apparatus and its dynamics: pot, column, condenser drum and receiver, driven by a plan.
//!
//! Pure: time is an argument, nothing here reads a clock, a file or a random source.

pub mod before_heat;
mod cancel;
pub mod column;
pub mod equilibrium;
mod error;
pub mod forecast;
mod fraction;
mod led;
pub mod outcome;
pub mod plan;
mod plant;
pub mod running;
mod setup;
pub mod track;
pub mod walk;

pub use cancel::Cancel;
pub use error::StillError;
pub use fraction::Fraction;
pub use setup::{ChargeMoles, apparatus};
