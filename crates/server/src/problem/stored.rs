//! What the record refuses, as an answer.

use account::AccountError;
use store::StoreError;
use store::folder::FolderError;
use store::rows::RowFault;

use super::ApiError;

impl From<RowFault> for ApiError {
    fn from(fault: RowFault) -> Self {
        Self::field(fault.column, fault.value, fault.bound, fault.hint)
    }
}

/// A folder that was sent is the asker's: file, line and what is wrong are told.
fn of_folder(error: &FolderError) -> ApiError {
    ApiError::field("files", "as sent", error.to_string(), error.hint())
}

impl From<StoreError> for ApiError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::NoRun { run } => Self::NoRun { id: run },
            StoreError::NoStill { still } => Self::NoStill { name: still },
            StoreError::NoWash { wash } => Self::NoWash { id: wash },
            StoreError::WashOver { .. } => Self::Conflict {
                code: "wash_over",
                what: error.to_string(),
                hint: "take its end back first, with the reason",
            },
            StoreError::AlreadyThere { .. } => Self::Conflict {
                code: "already_there",
                what: error.to_string(),
                hint: "it is the same to the last row: open the one that is there",
            },
            StoreError::Recipe(error) => crate::wash_forecasts::refused(*error),
            StoreError::Folder(error) => of_folder(&error),
            StoreError::NoPlan { name } => Self::NoPlan { name },
            StoreError::NotCalibrated { .. } => Self::Conflict {
                code: "not_calibrated",
                what: error.to_string(),
                hint: "calibrate it on two runs or more first",
            },
            StoreError::Row(fault) => fault.into(),
            StoreError::Account(AccountError::Alcoholometry(error)) => error.into(),
            StoreError::Account(error) => {
                let (field, value, bound) = error.about().unwrap_or((error.field(), "", ""));
                let bound = format!("{bound}: {error}");
                Self::field(field, value, bound, error.hint())
            }
            StoreError::Plan(plan) => plan.into(),
            StoreError::Entry { field, value, bound } => {
                Self::field(field, value, bound, "correct this field")
            }
            StoreError::TooLong { found, limit } => {
                let bound = format!("must be at most {limit} bytes");
                Self::field("rows", format!("{found} bytes"), bound, "send fewer rows at once")
            }
            StoreError::DiskFull => Self::DiskFull,
            StoreError::Busy => Self::Held,
            ref of_disk if of_disk.is_of_disk() || matches!(of_disk, StoreError::Unrecorded(_)) => {
                let (code, what, hint) = (error.code(), error.to_string(), error.hint());
                tracing::error!("store: {what}");
                Self::Unrecorded { code, what, hint }
            }
            other => Self::Inside { what: format!("store: {other}") },
        }
    }
}
