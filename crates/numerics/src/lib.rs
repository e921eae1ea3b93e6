//! Numerical methods on plain `f64`: no units, no physics; every loop is bounded and every
//! failure says how far it came.

pub mod chebyshev;
pub mod interpolate;
pub mod linear;
pub mod root;
pub mod rosenbrock;
