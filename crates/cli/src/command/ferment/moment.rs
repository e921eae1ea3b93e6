//! The hour up to which a log is read, as typed.

use store::folder::WASH_HOURS_MAX;

use crate::error::CliError;

/// The hours that were typed.
pub(super) fn typed(text: &str) -> Result<f64, CliError> {
    let bound = || format!("must lie from 0 to {WASH_HOURS_MAX} h");
    let hint = "hours from pitching the yeast, as 72 or 72.5".to_owned();
    match quantities::parse_decimal(text.trim()) {
        Ok(at_h) if (0.0..=WASH_HOURS_MAX).contains(&at_h) => Ok(at_h),
        Ok(value) => Err(CliError::Value { option: "--at", value, bound: bound(), hint }),
        Err(error) => Err(CliError::NoNumber { option: "--at", what: error.to_string(), hint }),
    }
}
