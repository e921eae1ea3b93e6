//! Everything that can go wrong in this crate, one enum.

use still::plan::PlanError;

/// Why nothing can be estimated or learned.
#[derive(Debug, thiserror::Error)]
pub enum EstimateError {
    /// The plan breaks a rule of the run folder.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The plan's still cannot be simulated.
    #[error(transparent)]
    Still(#[from] still::StillError),
}
