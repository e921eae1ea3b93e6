//! Everything that can go wrong in this crate, one enum.

use still::plan::PlanError;

/// Why the engine, a replay or a rehearsal refuses to go on.
#[derive(Debug, thiserror::Error)]
pub enum AdviseError {
    /// The plan breaks a rule of the run folder.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// No boiling point is found at the site's pressure.
    #[error(transparent)]
    Thermo(#[from] thermo::ThermoError),
    /// An option is out of range.
    #[error("{field} of {value} is out of range: it must lie from {low} to {high}; hint: {hint}")]
    Option {
        /// The option.
        field: &'static str,
        /// The refused value.
        value: f64,
        /// Lowest value that is taken.
        low: f64,
        /// Highest value that is taken.
        high: f64,
        /// What to do.
        hint: &'static str,
    },
    /// The rows do not start at 0 or run past the longest run.
    #[error(
        "time_s of {value} s is out of range: a run lasts from 0 to {high} s; hint: check the time column"
    )]
    Time {
        /// The refused time, s.
        value: f64,
        /// Longest run, s.
        high: f64,
    },
}
