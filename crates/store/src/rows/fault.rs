//! A cell that is refused, and the range check behind it.

use sense::Probe;

/// One cell of a row that is wrong: what stood there and what is allowed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{column} = {value}: {bound}")]
pub struct RowFault {
    /// Column, as `head_c`.
    pub column: &'static str,
    /// What stood there.
    pub value: String,
    /// What is allowed.
    pub bound: String,
    /// What to do about it.
    pub hint: String,
}

/// Most characters of a refused cell that a message repeats.
const SHOWN_CHARACTERS_MAX: usize = 40;

impl RowFault {
    #[expect(clippy::needless_pass_by_value, reason = "numbers and texts alike")]
    pub(crate) fn new(
        column: &'static str,
        value: impl ToString,
        bound: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self { column, value: shown(&value.to_string()), bound: bound.into(), hint: hint.into() }
    }

    /// A value that the probe cannot have sent.
    #[must_use]
    pub fn of_cell(probe: Probe, value: f64) -> Self {
        let (low, high) = probe.kept();
        let hint = "leave the cell empty where nothing was read";
        Self::new(probe.column(), value, range(low, high, probe.unit()), hint)
    }
}

/// "must lie from 0 to 100 °C".
fn range(low: f64, high: f64, unit: &str) -> String {
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    format!("must lie from {low} to {high}{unit}")
}

/// The beginning of a refused text, without control characters.
pub(crate) fn shown(text: &str) -> String {
    let mut short: String =
        text.chars().take(SHOWN_CHARACTERS_MAX).flat_map(char::escape_debug).collect();
    if text.chars().nth(SHOWN_CHARACTERS_MAX).is_some() {
        short.push('…');
    }
    short
}

/// Most characters of a parser's message that is passed on.
const MESSAGE_CHARACTERS_MAX: usize = 300;

/// A parser's message on one line, cut where it is very long.
pub(crate) fn short(message: &str) -> String {
    let mut short: String = message
        .chars()
        .take(MESSAGE_CHARACTERS_MAX)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if message.chars().nth(MESSAGE_CHARACTERS_MAX).is_some() {
        short.push('…');
    }
    short
}

/// Most characters of a note.
const NOTE_CHARACTERS_MAX: usize = 4000;

/// Refuses a note that no table could hold.
pub(crate) fn check_note(note: &str) -> Result<(), RowFault> {
    let length = note.chars().count();
    if length > NOTE_CHARACTERS_MAX {
        let bound = format!("must have at most {NOTE_CHARACTERS_MAX} characters, it has {length}");
        return Err(RowFault::new("note", note, bound, "make it shorter, or two notes of it"));
    }
    if note.contains('\0') {
        return Err(RowFault::new("note", note, "must be text", "leave out the NUL character"));
    }
    Ok(())
}

/// Refuses a number outside `low..=high`; NaN never passes.
pub(crate) fn required(
    column: &'static str,
    value: f64,
    low: f64,
    high: f64,
    unit: &str,
    hint: &str,
) -> Result<(), RowFault> {
    if value >= low && value <= high {
        return Ok(());
    }
    Err(RowFault::new(column, value, range(low, high, unit), hint))
}

/// As [`required`], for a cell that may be empty.
pub(crate) fn optional(
    column: &'static str,
    value: Option<f64>,
    low: f64,
    high: f64,
    unit: &str,
    hint: &str,
) -> Result<(), RowFault> {
    value.map_or(Ok(()), |value| required(column, value, low, high, unit, hint))
}
