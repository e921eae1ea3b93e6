//! A refusal in the words of every other one, and the checks that many rules share.

/// One thing wrong with a plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field} = {value}: {bound}")]
pub struct PlanError {
    /// Path of the key, as `still.stages` or `step[3].until_ml` (steps are counted from 1).
    pub field: String,
    /// What stood there.
    pub value: String,
    /// What is allowed.
    pub bound: String,
    /// What to do about it.
    pub hint: String,
}

/// Most steps of one plan.
pub const STEPS_MAX: usize = 200;
/// Most characters of a title or a name.
pub const TITLE_CHARACTERS_MAX: usize = 200;
/// Most characters of a refused text that a message repeats.
const SHOWN_CHARACTERS_MAX: usize = 40;

/// A refusal in the words of every other one.
#[expect(clippy::needless_pass_by_value, reason = "numbers and texts alike")]
pub(super) fn refuse(
    field: impl Into<String>,
    value: impl ToString,
    bound: impl Into<String>,
    hint: impl Into<String>,
) -> PlanError {
    PlanError {
        field: field.into(),
        value: shown(&value.to_string()),
        bound: bound.into(),
        hint: hint.into(),
    }
}

pub(super) fn shown(value: &str) -> String {
    let mut short: String = value.chars().take(SHOWN_CHARACTERS_MAX).collect();
    if short.len() < value.len() {
        short.push('…');
    }
    short
}

/// What a number may be: both ends included; NaN and infinities never pass.
#[derive(Clone, Copy)]
pub(super) struct Range {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) unit: &'static str,
}

pub(super) const fn range(low: f64, high: f64, unit: &'static str) -> Range {
    Range { low, high, unit }
}

pub(super) fn within(field: &str, value: f64, bound: Range, hint: &str) -> Result<(), PlanError> {
    if value >= bound.low && value <= bound.high {
        return Ok(());
    }
    let unit = if bound.unit.is_empty() { String::new() } else { format!(" {}", bound.unit) };
    let said = format!("must lie from {} to {}{unit}", bound.low, bound.high);
    Err(refuse(field, value, said, hint))
}

pub(super) fn within_if_given(
    field: &str,
    value: Option<f64>,
    bound: Range,
    hint: &str,
) -> Result<(), PlanError> {
    value.map_or(Ok(()), |value| within(field, value, bound, hint))
}

pub(super) fn text(field: &str, value: &str, hint: &str) -> Result<(), PlanError> {
    let length = value.chars().count();
    if value.trim().is_empty() || length > TITLE_CHARACTERS_MAX {
        let bound = format!("must have 1 to {TITLE_CHARACTERS_MAX} characters, it has {length}");
        return Err(refuse(field, format!("\"{}\"", shown(value)), bound, hint));
    }
    if value.chars().any(char::is_control) {
        let bound = "must not hold line breaks or other control characters";
        return Err(refuse(field, format!("{value:?}"), bound, hint));
    }
    Ok(())
}
