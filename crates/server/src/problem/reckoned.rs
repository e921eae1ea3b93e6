//! What the crates that reckon refuse, as an answer.

use advise::AdviseError;
use estimate::EstimateError;
use rehearse::RehearseError;
use still::StillError;

use super::ApiError;

impl From<StillError> for ApiError {
    fn from(error: StillError) -> Self {
        match error {
            StillError::Plan(plan) => plan.into(),
            other => {
                let hint = other.hint();
                Self::Unsimulated { code: other.code(), what: other.to_string(), hint }
            }
        }
    }
}

impl From<EstimateError> for ApiError {
    fn from(error: EstimateError) -> Self {
        match error {
            EstimateError::Plan(plan) => plan.into(),
            other @ EstimateError::Still(_) => Self::Inside { what: format!("estimate: {other}") },
        }
    }
}

impl From<RehearseError> for ApiError {
    fn from(error: RehearseError) -> Self {
        match error {
            RehearseError::Plan(plan) => plan.into(),
            RehearseError::Advise(error) => error.into(),
            RehearseError::Still(error) => error.into(),
            other @ RehearseError::Power(_) => Self::Inside { what: format!("rehearsal: {other}") },
        }
    }
}

impl From<AdviseError> for ApiError {
    fn from(error: AdviseError) -> Self {
        match error {
            AdviseError::Plan(plan) => plan.into(),
            other => Self::Inside { what: format!("engine: {other}") },
        }
    }
}
