//! Numerical methods on plain `f64`, without physics: every loop is bounded, every failure says
//! how far it came.

pub mod interpolate;
pub mod root;
