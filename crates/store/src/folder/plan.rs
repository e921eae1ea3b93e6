//! `run.toml`: read, checked, written.

use std::path::Path;

use still::plan::RunPlan;

use super::error::FolderError;
use super::limits::LINE_BYTES_MAX;
use super::lines;
use crate::toml_text::{self, TomlFault};

/// Reads and checks a plan file.
///
/// # Errors
/// [`FolderError`] naming file, line, key, value, bound and hint.
pub fn read_plan(path: &Path) -> Result<RunPlan, FolderError> {
    let text = lines::read_small(path, LINE_BYTES_MAX)?;
    parse(&text, path)
}

/// Reads and checks the text of a plan; errors call it `run.toml`.
///
/// # Errors
/// As [`read_plan`].
pub fn parse_plan(text: &str) -> Result<RunPlan, FolderError> {
    parse(text, Path::new(NAME))
}

fn parse(text: &str, file: &Path) -> Result<RunPlan, FolderError> {
    let (plan, places) = toml_text::read::<RunPlan>(text, NAME).map_err(|fault| {
        let TomlFault { line, column, key, what } = fault;
        FolderError::Toml { file: file.to_owned(), line, column, key, what }
    })?;
    plan.check().map_err(|error| {
        let line = places.line(&error.field);
        FolderError::Plan { file: file.to_owned(), line, error: Box::new(error) }
    })?;
    Ok(plan)
}

/// What the file is called.
const NAME: &str = "run.toml";

/// The plan as the text of a `run.toml`; [`parse_plan`] gives back the same plan.
///
/// # Errors
/// [`FolderError::Unwritable`] where TOML cannot hold it.
pub fn write_plan(plan: &RunPlan) -> Result<String, FolderError> {
    toml::to_string(plan).map_err(|error| FolderError::Unwritable { what: error.to_string() })
}
