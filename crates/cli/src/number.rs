//! Range checks of what was typed, each naming the option, the bound and what to do.

use crate::error::CliError;

/// Returns `value` where it lies from `low` to `high`.
pub(crate) fn within(
    option: &'static str,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
    hint: &'static str,
) -> Result<f64, CliError> {
    if value >= low && value <= high {
        return Ok(value);
    }
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    Err(CliError::Value {
        option,
        value,
        bound: format!("must lie from {low} to {high}{unit}"),
        hint: hint.to_owned(),
    })
}
