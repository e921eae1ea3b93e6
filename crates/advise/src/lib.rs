//! Advice from readings: one live engine, fed by a server, a recording or a simulated still.
//!
//! Pure: run time is an argument, nothing here reads a clock, a file or a random source.

pub mod drive;
mod error;
pub mod estimate;
pub mod live;
pub mod rehearse;
mod rows;
pub mod score;

pub use error::AdviseError;
pub use rows::{RecordedRun, SecondRows};
