//! Vapour-liquid equilibrium, latent heats, heat capacities and densities of a fermented wash.

mod component;

pub use component::{COMPONENT_COUNT, Component};
