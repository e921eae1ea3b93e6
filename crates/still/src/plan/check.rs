//! Refuses a plan that cannot be run, naming field, value, bound and what to do about it.

/// One thing wrong with a plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field} = {value}: {bound}")]
pub struct PlanError {
    /// Path of the key, as `still.stages` or `step[3].until_ml`.
    pub field: String,
    /// What stood there.
    pub value: String,
    /// What is allowed.
    pub bound: String,
    /// What to do about it.
    pub hint: String,
}
