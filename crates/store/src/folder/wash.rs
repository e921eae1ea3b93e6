//! A wash on disk: `wash.toml`, and `readings.csv`, `float.csv` and `actions.csv` up to a moment.

use std::path::Path;

use ferment::{Act, ActKind, FloatReading, Glass, Log, Recipe};

use super::error::FolderError;
use super::limits::LINE_BYTES_MAX;
use super::lines;
use super::table::{Row, Table};
use crate::rows::{RowFault, optional, required};
use crate::toml_text::{self, TomlFault};

/// What the file of a recipe is called.
pub const WASH_FILE: &str = "wash.toml";
const READINGS: [&str; 6] = ["time_h", "gravity", "temperature_c", "weight_kg", "ph", "note"];
const FLOAT: [&str; 3] = ["time_h", "gravity", "temperature_c"];
const ACTIONS: [&str; 5] = ["time_h", "action", "value", "unit", "note"];
/// The words of an action, its unit and its bounds.
const ACTS: [(&str, ActKind, &str, (f64, f64)); 6] = [
    ("pitch", ActKind::Pitch, "g", (0.0, 50_000.0)),
    ("nutrient", ActKind::Nutrient, "g", (0.0, 50_000.0)),
    ("heater", ActKind::Heater, "C", (0.0, 50.0)),
    ("chalk", ActKind::Chalk, "g", (0.0, 50_000.0)),
    ("yeast", ActKind::Yeast, "g", (0.0, 50_000.0)),
    ("moved", ActKind::Moved, "", (0.0, 0.0)),
];
/// A wash is followed for so many hours at most: 100 days.
pub const WASH_HOURS_MAX: f64 = 2400.0;
const LEAVE_EMPTY: &str = "leave the cell empty where nothing was read";

/// Reads the recipe of a wash folder, and of its log only what was known at `at_h`.
///
/// Reading stops at the first row after the moment: what stands there changes nothing.
///
/// # Errors
/// [`FolderError`] naming file, line, key or column, value, bound and hint.
pub fn read_wash(dir: &Path, at_h: f64) -> Result<(Recipe, Log), FolderError> {
    let recipe = recipe(&dir.join(WASH_FILE))?;
    let log = Log {
        glass: rows(&dir.join("readings.csv"), &READINGS, &READINGS[..1], at_h, glass)?,
        float: rows(&dir.join("float.csv"), &FLOAT, &FLOAT[..2], at_h, float)?,
        acts: rows(&dir.join("actions.csv"), &ACTIONS, &ACTIONS[..2], at_h, act)?,
    };
    Ok((recipe, log))
}

fn recipe(file: &Path) -> Result<Recipe, FolderError> {
    let text = lines::read_small(file, LINE_BYTES_MAX)?;
    let (recipe, places) = toml_text::read::<Recipe>(&text, WASH_FILE).map_err(|fault| {
        let TomlFault { line, column, key, what } = fault;
        FolderError::Toml { file: file.to_owned(), line, column, key, what }
    })?;
    recipe.check().map_err(|error| {
        let line = places.line(&error.field);
        FolderError::Recipe { file: file.to_owned(), line, error: Box::new(error) }
    })?;
    Ok(recipe)
}

fn rows<T>(
    path: &Path,
    known: &'static [&'static str],
    needed: &[&'static str],
    at_h: f64,
    read: fn(f64, &Row) -> Result<T, RowFault>,
) -> Result<Vec<T>, FolderError> {
    let mut found = Vec::new();
    let Some(mut table) = Table::open(path, known, needed)? else { return Ok(found) };
    let mut before = 0.0;
    while let Some((line, row)) = table.next()? {
        let time_h = time(&row, before).map_err(|fault| table.refuse(line, fault))?;
        if time_h > at_h {
            break;
        }
        before = time_h;
        found.push(read(time_h, &row).map_err(|fault| table.refuse(line, fault))?);
    }
    Ok(found)
}

fn time(row: &Row, before: f64) -> Result<f64, RowFault> {
    let time_h = row.needed(0)?;
    required("time_h", time_h, 0.0, WASH_HOURS_MAX, "h", "hours from pitching the yeast")?;
    if time_h < before {
        let bound = format!("must not be before {before} h of the row above");
        return Err(RowFault::new("time_h", time_h, bound, "rows stand in the order of time"));
    }
    Ok(time_h)
}

fn gravity(value: Option<f64>) -> Result<(), RowFault> {
    let hint = "specific gravity is about 1: 1.050, not 50 or 1050";
    optional("gravity", value, 0.95, 1.3, "", hint)
}

fn glass(time_h: f64, row: &Row) -> Result<Glass, RowFault> {
    let (temperature_c, weight_kg, ph) = (row.number(2)?, row.number(3)?, row.number(4)?);
    let read = row.number(1)?;
    gravity(read)?;
    optional("temperature_c", temperature_c, -10.0, 105.0, "°C", LEAVE_EMPTY)?;
    optional("weight_kg", weight_kg, 0.0, 20_000.0, "kg", "fermenter and wash together")?;
    optional("ph", ph, 0.0, 14.0, "", LEAVE_EMPTY)?;
    let cooled = row.text(5).to_lowercase().contains("cooled");
    Ok(Glass { time_h, gravity: read, temperature_c, weight_kg, ph, cooled })
}

fn float(time_h: f64, row: &Row) -> Result<FloatReading, RowFault> {
    let (read, temperature_c) = (row.number(1)?, row.number(2)?);
    // A float sends wild values: they are doubted later, not refused.
    optional("gravity", read, 0.0, 10.0, "", LEAVE_EMPTY)?;
    optional("temperature_c", temperature_c, -50.0, 150.0, "°C", LEAVE_EMPTY)?;
    Ok(FloatReading { time_h, gravity: read, temperature_c })
}

fn act(time_h: f64, row: &Row) -> Result<Act, RowFault> {
    let word = row.text(1).trim();
    let Some((_, kind, unit, (low, high))) = ACTS.iter().find(|known| known.0 == word) else {
        let known = ACTS.map(|known| known.0).join(", ");
        let bound = format!("is unknown; expected one of {known}");
        return Err(RowFault::new("action", word, bound, "put other words into the note"));
    };
    let value = row.number(2)?;
    optional("value", value, *low, *high, unit, "the amount of this action")?;
    if value.is_none() && !unit.is_empty() {
        let bound = format!("must be given in {unit} for {word}");
        return Err(RowFault::new("value", "", bound, "how much was it?"));
    }
    let written = row.text(3).trim();
    if !written.is_empty() && written != *unit {
        let bound = format!("must be {}", if unit.is_empty() { "empty" } else { unit });
        return Err(RowFault::new("unit", written, bound, format!("{word} is given in that unit")));
    }
    Ok(Act { time_h, kind: *kind, value: value.unwrap_or(0.0) })
}
