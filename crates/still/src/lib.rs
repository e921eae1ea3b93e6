//! The apparatus and its dynamics: pot, column, condenser drum and receiver, driven by a plan.
//!
//! Pure: time is an argument, nothing here reads a clock, a file or a random source.

pub mod column;
pub mod equilibrium;
mod error;
pub mod forecast;
mod heat_up;
pub mod outcome;
pub mod plan;
pub mod running;
mod setup;
pub mod track;

pub use error::StillError;
pub use heat_up::HeatUp;
pub use setup::{ChargeMoles, apparatus};
