//! A row of jars.

use sense::{GaugedWith, JarRecord};
use serde::{Deserialize, Serialize};
use still::plan::StepKind;

use super::{RowFault, check_note, check_time, optional, required};

/// Columns of the jars file, in order.
pub const JAR_COLUMNS: [&str; 10] = [
    "jar",
    "start_s",
    "end_s",
    "volume_ml",
    "temperature_c",
    "apparent_vol",
    "cut",
    "note",
    "instrument",
    "overdue",
];

/// So many columns are written where no jar says with what it was gauged.
pub const JAR_COLUMNS_WITHOUT_INSTRUMENT: usize = 8;
/// Most characters of an instrument's name (judgement: it is written on the instrument).
const INSTRUMENT_CHARACTERS_MAX: usize = 60;

/// Highest number of a jar.
const JAR_NUMBER_MAX: u32 = 100_000;

/// A filled jar in the words of the file.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(missing_docs, reason = "the fields are the columns of the file, units in their names")]
pub struct JarRow {
    pub jar: u32,
    pub start_s: f64,
    pub end_s: f64,
    pub volume_ml: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apparent_vol: Option<f64>,
    /// foreshots, heads, hearts or tails; empty = not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub cut: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// What it was gauged with; empty = not said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub instrument: String,
    /// Whether that was overdue for calibration then.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub overdue: bool,
}

/// Checks the number on a jar.
pub(crate) fn check_number(column: &'static str, number: f64) -> Result<u32, RowFault> {
    required(column, number, 0.0, f64::from(JAR_NUMBER_MAX), "", "jars are numbered from 1")?;
    if number.fract() != 0.0 {
        return Err(RowFault::new(column, number, "must be a whole number", "jars are counted"));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to JAR_NUMBER_MAX, checked above"
    )]
    Ok(number as u32)
}

impl JarRow {
    /// The row of a jar.
    #[must_use]
    pub fn new(jar: &JarRecord) -> Self {
        Self {
            jar: jar.number,
            start_s: jar.start_s,
            end_s: jar.end_s,
            volume_ml: jar.volume_ml,
            temperature_c: jar.temperature_c,
            apparent_vol: jar.apparent_vol,
            cut: jar.cut.map(StepKind::name).unwrap_or_default().to_owned(),
            note: jar.note.clone(),
            instrument: jar
                .gauged_with
                .as_ref()
                .map(|one| one.instrument.clone())
                .unwrap_or_default(),
            overdue: jar.gauged_with.as_ref().is_some_and(|one| one.overdue),
        }
    }

    /// The jar, checked.
    ///
    /// # Errors
    /// [`RowFault`] for the first cell out of bounds.
    pub fn record(&self) -> Result<JarRecord, RowFault> {
        check_number("jar", f64::from(self.jar))?;
        check_time("start_s", self.start_s)?;
        check_time("end_s", self.end_s)?;
        if self.end_s < self.start_s {
            let bound = format!("must not be before start_s = {}", self.start_s);
            return Err(RowFault::new("end_s", self.end_s, bound, "a jar closes after it opens"));
        }
        required("volume_ml", self.volume_ml, 0.0, 1.0e6, "mL", "millilitres in the jar")?;
        let hint = "temperature of the spirit when it was gauged";
        optional("temperature_c", self.temperature_c, -20.0, 100.0, "°C", hint)?;
        let hint = "what the glass showed, in per cent";
        optional("apparent_vol", self.apparent_vol, 0.0, 100.0, "% vol", hint)?;
        check_note(&self.note)?;
        Ok(JarRecord {
            number: self.jar,
            start_s: self.start_s,
            end_s: self.end_s,
            volume_ml: self.volume_ml,
            temperature_c: self.temperature_c,
            apparent_vol: self.apparent_vol,
            cut: self.fraction()?,
            note: self.note.clone(),
            gauged_with: self.gauged_with()?,
        })
    }

    fn gauged_with(&self) -> Result<Option<GaugedWith>, RowFault> {
        let (name, overdue) = (self.instrument.trim(), self.overdue);
        if name.is_empty() && !overdue {
            return Ok(None);
        }
        let fits = (1..=INSTRUMENT_CHARACTERS_MAX).contains(&name.chars().count());
        // In the book | and ; part instruments.
        if !fits || name.contains(|c: char| c.is_control() || "|;".contains(c)) {
            let bound = "must be 1 to 60 characters of one line without | and ;";
            let hint = "the name that the instrument is kept under, as glass 3";
            return Err(RowFault::new("instrument", name, bound, hint));
        }
        Ok(Some(GaugedWith { instrument: name.to_owned(), overdue }))
    }

    fn fraction(&self) -> Result<Option<StepKind>, RowFault> {
        if self.cut.is_empty() {
            return Ok(None);
        }
        match StepKind::from_name(&self.cut) {
            Some(kind) if kind.draws() => Ok(Some(kind)),
            _ => Err(RowFault::new(
                "cut",
                &self.cut,
                "must be foreshots, heads, hearts or tails",
                "leave the cell empty where the cut is not yet made",
            )),
        }
    }
}
