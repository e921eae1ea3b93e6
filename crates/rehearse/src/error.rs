//! Everything that can go wrong in this crate, one enum.

use still::plan::PlanError;

/// Why a rehearsal refuses to go on.
#[derive(Debug, thiserror::Error)]
pub enum RehearseError {
    /// The plan breaks a rule of the run folder.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The plan's still cannot be simulated.
    #[error(transparent)]
    Still(#[from] still::StillError),
    /// The heater has no such power.
    #[error(transparent)]
    Power(#[from] quantities::OutOfRange),
    /// The run cannot be attended.
    #[error(transparent)]
    Advise(#[from] advise::AdviseError),
}
