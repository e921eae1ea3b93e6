//! A wash on disk: `wash.toml`, and `readings.csv`, `float.csv` and `actions.csv`; read up to a
//! moment or whole, and written again.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use ferment::{Log, Recipe};

use super::error::FolderError;
use super::limits::LINE_BYTES_MAX;
use super::lines;
use super::reader::Bounded;
use super::table::{Row, Table};
use super::tables::{cell, table};
use crate::rows::{RowFault, WashAct, WashFloat, WashReading, required};
use crate::toml_text::{self, TomlFault};

/// What the file of a recipe is called.
pub const WASH_FILE: &str = "wash.toml";
/// What the file of its readings is called.
pub const WASH_READINGS_FILE: &str = "readings.csv";
const FLOAT_FILE: &str = "float.csv";
const ACTIONS_FILE: &str = "actions.csv";
const READINGS: [&str; 6] = ["time_h", "gravity", "temperature_c", "weight_kg", "ph", "note"];
const FLOAT: [&str; 3] = ["time_h", "gravity", "temperature_c"];
const ACTIONS: [&str; 5] = ["time_h", "action", "value", "unit", "note"];
/// A wash is followed for so many hours at most: 100 days.
pub const WASH_HOURS_MAX: f64 = 2400.0;

/// A wash as a folder holds it: each list in the order of time, hours from pitching.
#[derive(Debug, Clone, PartialEq)]
pub struct WashFolder {
    /// The recipe.
    pub recipe: Recipe,
    /// What a person read.
    pub readings: Vec<(f64, WashReading)>,
    /// What a floating sensor sent.
    pub float: Vec<(f64, WashFloat)>,
    /// What was done.
    pub acts: Vec<(f64, WashAct)>,
}

impl WashFolder {
    /// The log as the forecast takes it.
    #[must_use]
    pub fn log(&self) -> Log {
        Log {
            glass: self.readings.iter().map(|(time_h, row)| row.glass(*time_h)).collect(),
            float: self.float.iter().map(|(time_h, row)| row.reading(*time_h)).collect(),
            // An act that is none was refused when it was read.
            acts: self.acts.iter().filter_map(|(time_h, row)| row.act(*time_h).ok()).collect(),
        }
    }

    /// Its files as names and bytes. [`WashFolder::read`] of them gives back the same wash.
    ///
    /// # Errors
    /// [`FolderError::Unwritable`] where TOML cannot hold the recipe.
    pub fn files(&self) -> Result<Vec<(&'static str, Vec<u8>)>, FolderError> {
        let unwritable =
            |error: toml::ser::Error| FolderError::Unwritable { what: error.to_string() };
        let recipe = toml::to_string(&self.recipe).map_err(unwritable)?;
        let readings = self.readings.iter().map(|(time_h, row)| {
            let number = [row.gravity, row.temperature_c, row.weight_kg, row.ph].map(cell);
            let [gravity, celsius, weight, ph] = number;
            [time_h.to_string(), gravity, celsius, weight, ph, row.note.clone()]
        });
        let acts = self.acts.iter().map(|(time_h, row)| {
            let unit = row.unit().to_owned();
            [time_h.to_string(), row.action.clone(), cell(row.value), unit, row.note.clone()]
        });
        let mut files = vec![
            (WASH_FILE, recipe.into_bytes()),
            (WASH_READINGS_FILE, table(&READINGS, readings)),
            (ACTIONS_FILE, table(&ACTIONS, acts)),
        ];
        if !self.float.is_empty() {
            let float = self.float.iter().map(|(time_h, row)| {
                [time_h.to_string(), cell(row.gravity), cell(row.temperature_c)]
            });
            files.push((FLOAT_FILE, table(&FLOAT, float)));
        }
        Ok(files)
    }

    /// Reads a folder up to a moment.
    ///
    /// Reading stops at the first row after the moment: what stands there changes nothing.
    ///
    /// # Errors
    /// [`FolderError`] naming file, line, key or column, value, bound and hint.
    pub fn read(dir: &Path, at_h: f64) -> Result<Self, FolderError> {
        Self::from(&Source::Dir(dir), at_h)
    }

    /// Reads the files of a folder that were sent, by name.
    ///
    /// # Errors
    /// As [`WashFolder::read`].
    pub fn of_files(files: &BTreeMap<String, String>) -> Result<Self, FolderError> {
        Self::from(&Source::Files(files), f64::INFINITY)
    }

    fn from(source: &Source<'_>, at_h: f64) -> Result<Self, FolderError> {
        Ok(Self {
            recipe: source.recipe()?,
            readings: source.rows(WASH_READINGS_FILE, &READINGS, 1, at_h, reading)?,
            float: source.rows(FLOAT_FILE, &FLOAT, 2, at_h, float)?,
            acts: source.rows(ACTIONS_FILE, &ACTIONS, 2, at_h, act)?,
        })
    }

    /// Writes a folder that is not there yet or is empty.
    ///
    /// # Errors
    /// [`FolderError::NotEmpty`] where something is there already, [`FolderError::Io`] where the disk
    /// refuses.
    pub fn write(&self, dir: &Path) -> Result<(), FolderError> {
        super::put_files(dir, self.files()?)
    }
}

/// Reads the recipe of a wash folder, and of its log only what was known at `at_h`.
///
/// # Errors
/// As [`WashFolder::read`].
pub fn read_wash(dir: &Path, at_h: f64) -> Result<(Recipe, Log), FolderError> {
    let wash = WashFolder::read(dir, at_h)?;
    let log = wash.log();
    Ok((wash.recipe, log))
}

/// A row of a table of notes: hours from pitching and what was read, or why it is refused.
pub type WashNote = Result<(f64, WashReading), FolderError>;

/// Reads a table of notes, each row by itself: what it holds, or why it is refused.
///
/// # Errors
/// [`FolderError`] where the table itself cannot be read.
pub fn read_wash_notes(file: &Path) -> Result<Vec<WashNote>, FolderError> {
    let mut found = Vec::new();
    let missing = || FolderError::io(file, std::io::ErrorKind::NotFound.into());
    let mut table = Table::open(file, &READINGS, &READINGS[..1])?.ok_or_else(missing)?;
    while let Some((line, row)) = table.next()? {
        let read = time(&row, 0.0).and_then(|time_h| Ok((time_h, reading(&row)?)));
        found.push(read.map_err(|fault| table.refuse(line, fault)));
    }
    Ok(found)
}

/// Where the files of a wash come from.
enum Source<'a> {
    Dir(&'a Path),
    Files(&'a BTreeMap<String, String>),
}

impl Source<'_> {
    fn path(&self, name: &str) -> PathBuf {
        match self {
            Self::Dir(dir) => dir.join(name),
            Self::Files(_) => PathBuf::from(name),
        }
    }

    fn recipe(&self) -> Result<Recipe, FolderError> {
        let file = self.path(WASH_FILE);
        let text = match self {
            Self::Dir(_) => lines::read_small(&file, LINE_BYTES_MAX)?,
            Self::Files(files) => {
                let missing = || FolderError::io(&file, std::io::ErrorKind::NotFound.into());
                let text = files.get(WASH_FILE).ok_or_else(missing)?;
                lines::unmarked(&file, text.clone().into_bytes())?
            }
        };
        let (recipe, places) = toml_text::read::<Recipe>(&text, WASH_FILE).map_err(|fault| {
            let TomlFault { line, column, key, what } = fault;
            FolderError::Toml { file: file.clone(), line, column, key, what }
        })?;
        recipe.check().map_err(|error| {
            let line = places.line(&error.field);
            FolderError::Recipe { file: file.clone(), line, error: Box::new(error) }
        })?;
        Ok(recipe)
    }

    fn table(
        &self,
        name: &str,
        known: &'static [&'static str],
        needed: &[&'static str],
    ) -> Result<Option<Table>, FolderError> {
        let path = self.path(name);
        match self {
            Self::Dir(_) => Table::open(&path, known, needed),
            Self::Files(files) => {
                let Some(text) = files.get(name) else { return Ok(None) };
                let source = Bounded::over(Box::new(Cursor::new(text.clone().into_bytes())));
                Table::over(&path, source, known, needed).map(Some)
            }
        }
    }

    fn rows<T>(
        &self,
        name: &str,
        known: &'static [&'static str],
        needed: usize,
        at_h: f64,
        read: fn(&Row) -> Result<T, RowFault>,
    ) -> Result<Vec<(f64, T)>, FolderError> {
        let mut found = Vec::new();
        let Some(mut table) = self.table(name, known, &known[..needed])? else {
            return Ok(found);
        };
        let mut before = 0.0;
        while let Some((line, row)) = table.next()? {
            let time_h = time(&row, before).map_err(|fault| table.refuse(line, fault))?;
            if time_h > at_h {
                break;
            }
            before = time_h;
            found.push((time_h, read(&row).map_err(|fault| table.refuse(line, fault))?));
        }
        Ok(found)
    }
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

fn reading(row: &Row) -> Result<WashReading, RowFault> {
    let read = WashReading {
        gravity: row.number(1)?,
        temperature_c: row.number(2)?,
        weight_kg: row.number(3)?,
        ph: row.number(4)?,
        note: row.text(5).to_owned(),
    };
    read.check()?;
    Ok(read)
}

fn float(row: &Row) -> Result<WashFloat, RowFault> {
    let read = WashFloat { gravity: row.number(1)?, temperature_c: row.number(2)? };
    read.check()?;
    Ok(read)
}

fn act(row: &Row) -> Result<WashAct, RowFault> {
    let read = WashAct {
        action: row.text(1).trim().to_owned(),
        value: row.number(2)?,
        note: row.text(4).to_owned(),
    };
    read.kind()?;
    let (unit, written) = (read.unit(), row.text(3).trim());
    if !written.is_empty() && written != unit {
        let bound = format!("must be {}", if unit.is_empty() { "empty" } else { unit });
        let hint = format!("{} is given in that unit", read.action);
        return Err(RowFault::new("unit", written, bound, hint));
    }
    Ok(read)
}
