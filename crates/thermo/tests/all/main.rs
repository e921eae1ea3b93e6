//! The mixture against measured tables and its own laws.

mod equilibrium;
mod laws;
