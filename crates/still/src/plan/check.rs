//! Refuses a plan that cannot be run, naming field, value, bound and what to do about it.

mod apparatus;
mod measured;
mod start;
mod steps;

use super::{OwnStill, RunPlan, Still};

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

impl RunPlan {
    /// Checks every rule of the run format and the bounds of every number.
    ///
    /// A plan that passes may still earn warnings from a forecast (boiler too full, take-off over
    /// the vapour): those are about what it gives, not about whether it means something.
    ///
    /// # Errors
    /// [`PlanError`] for the first thing that is wrong, in the order of the file.
    pub fn check(&self) -> Result<(), PlanError> {
        if self.format != 1 {
            return Err(refuse(
                "format",
                self.format,
                "must be 1",
                "this program reads format 1 of the run folder; a newer file needs a newer program",
            ));
        }
        text("title", &self.title, "say in a few words what this run is")?;
        start::check(&self.start)?;
        self.still.check()?;
        apparatus::charge(self)?;
        apparatus::site(&self.site)?;
        steps::check(self)
    }
}

impl Still {
    /// Checks the apparatus alone, as one part of [`RunPlan::check`].
    ///
    /// # Errors
    /// [`PlanError`] for the first key that is wrong.
    pub fn check(&self) -> Result<(), PlanError> {
        apparatus::still(self)
    }
}

impl OwnStill {
    /// Checks what a person said about their own still: litres and heater.
    ///
    /// # Errors
    /// [`PlanError`] for the first key that is wrong.
    pub fn check(&self) -> Result<(), PlanError> {
        apparatus::boiler(self.boiler_litres, &self.elements_watts)
    }
}

/// A refusal in the words of every other one.
#[expect(clippy::needless_pass_by_value, reason = "numbers and texts alike")]
fn refuse(
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

fn shown(value: &str) -> String {
    let mut short: String = value.chars().take(SHOWN_CHARACTERS_MAX).collect();
    if short.len() < value.len() {
        short.push('…');
    }
    short
}

/// What a number may be: both ends included; NaN and infinities never pass.
#[derive(Clone, Copy)]
struct Range {
    low: f64,
    high: f64,
    unit: &'static str,
}

const fn range(low: f64, high: f64, unit: &'static str) -> Range {
    Range { low, high, unit }
}

fn within(field: &str, value: f64, bound: Range, hint: &str) -> Result<(), PlanError> {
    if value >= bound.low && value <= bound.high {
        return Ok(());
    }
    let unit = if bound.unit.is_empty() { String::new() } else { format!(" {}", bound.unit) };
    let said = format!("must lie from {} to {}{unit}", bound.low, bound.high);
    Err(refuse(field, value, said, hint))
}

fn within_if_given(
    field: &str,
    value: Option<f64>,
    bound: Range,
    hint: &str,
) -> Result<(), PlanError> {
    value.map_or(Ok(()), |value| within(field, value, bound, hint))
}

fn text(field: &str, value: &str, hint: &str) -> Result<(), PlanError> {
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

#[cfg(test)]
mod tests;
