//! Vapour-liquid equilibrium, latent heats, heat capacities and densities of a fermented wash.
//!
//! Low pressure (30 to 120 kPa), 285 to 400 K: ideal vapour, activity by the NRTL equation,
//! vapour pressures by Wagner's or Antoine's equation. Kernels take SI `f64`; see
//! `reference/README.md` for every coefficient and its source.

mod activity;
mod bubble;
mod component;
mod dew;
mod enthalpy;
mod error;
pub mod ethanol_water;
mod mixture;
mod near;
mod pure;
mod reference;
mod warm;
mod wide;

pub use activity::ActivitySlopes;
pub use bubble::BubblePoint;
pub use component::{COMPONENT_COUNT, Component};
pub use dew::DewPoint;
pub use error::ThermoError;
pub use mixture::Mixture;
pub use pure::{
    PureSubstance, heat_capacity_liquid_j_mol_k, latent_heat_j_mol, liquid_density_kg_m3,
    vapour_pressure_pa,
};
pub use warm::Warm;

/// Molar gas constant, J/(mol K): exact in the SI since 2019.
pub const GAS_CONSTANT_J_MOL_K: f64 = 8.31446261815324;
