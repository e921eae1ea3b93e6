//! The apparatus and its dynamics: pot, column, condenser drum and receiver, driven by a plan.
//!
//! Pure: time is an argument, nothing here reads a clock, a file or a random source.

pub mod column;
pub mod equilibrium;
pub mod outcome;
pub mod plan;
