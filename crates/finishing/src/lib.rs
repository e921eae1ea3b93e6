//! From the jars to the bottle: what the jars hold, where the cuts fall, and how a spirit is
//! reduced, treated, matured and bottled, each answer with its doubt.
//!
//! Pure: dates and seeds are arguments. Strength, volume and mass are `alcoholometry`'s alone.

pub mod bottling;
pub mod carbon;
pub mod cask;
mod check;
pub mod congeners;
pub mod cuts;
pub mod entering;
mod error;
pub mod fill;
pub mod jar;
pub mod limits;
pub mod maceration;
pub mod normal;
pub mod nose;
pub mod profile;
pub mod steps;
mod table;
pub mod treatment;

pub use error::FinishingError;
