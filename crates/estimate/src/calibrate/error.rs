//! Why runs cannot be calibrated together.

use still::StillError;
use still::plan::PlanError;

/// Why nothing can be calibrated.
#[derive(Debug, Clone, thiserror::Error)]
pub enum CalibrateError {
    /// Too few runs, or too many.
    #[error("{got} runs: {bound}")]
    Runs {
        /// How many were given.
        got: usize,
        /// What is allowed.
        bound: String,
    },
    /// A run has too few jars to tell anything.
    #[error("run {run}: {got} jars with a volume and times: at least {least} are needed")]
    Jars {
        /// Which run, counted from 1.
        run: usize,
        /// How many jars there are.
        got: usize,
        /// How many are needed.
        least: usize,
    },
    /// What a person says of the residue cannot be.
    #[error("run {run}: residue of {value} {unit}: it must lie from {low} to {high}")]
    Residue {
        /// Which run, counted from 1.
        run: usize,
        /// What was given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least.
        low: f64,
        /// Most.
        high: f64,
    },
    /// In the simulated still no vapour reached the top while jars were filled.
    #[error("run {run}: with the power recorded this still would give no spirit")]
    NeverRan {
        /// Which run, counted from 1.
        run: usize,
    },
    /// A plan breaks a rule of the run folder.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The still cannot be simulated.
    #[error(transparent)]
    Still(#[from] StillError),
}
