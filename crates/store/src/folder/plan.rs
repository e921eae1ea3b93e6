//! `run.toml`: read, checked, written.

use std::path::Path;

use serde_path_to_error::Segment;
use still::plan::RunPlan;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::FolderError;
use super::keys::{self, Part};
use super::limits::LINE_BYTES_MAX;
use super::lines;
use super::toml_node::{Fault, Node};

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
    parse(text, Path::new("run.toml"))
}

fn parse(text: &str, file: &Path) -> Result<RunPlan, FolderError> {
    let refused = |offset: usize, key: String, what: String| {
        let (line, column) = keys::line_and_column(text, offset);
        FolderError::Toml { file: file.to_owned(), line, column, key, what }
    };
    if let Some(offset) = keys::too_deep(text) {
        let what = format!("a key of more than {} parts; no plan has one", keys::KEY_PARTS_MAX);
        return Err(refused(offset, NO_KEY.to_owned(), what));
    }
    let table = DeTable::parse(text).map_err(|error| {
        let offset = error.span().map_or(0, |span| span.start);
        // What could be read all the same tells near which key the text goes wrong.
        let (table, _) = DeTable::parse_recoverable(text);
        let key = named(&keys::key_before(table.get_ref(), offset));
        refused(offset, key, crate::rows::short(error.message()))
    })?;
    let whole = Spanned::new(table.span(), DeValue::Table(table.into_inner()));
    let none = DeTable::new();
    let table = whole.get_ref().as_table().unwrap_or(&none);
    let plan: RunPlan = serde_path_to_error::deserialize(Node(&whole)).map_err(|error| {
        let mut path = path_of(error.path());
        let fault = error.into_inner();
        if let Fault::Missing(key) = fault {
            path.push(Part::Key(key.to_owned()));
        }
        let offset = keys::place(table, &path).unwrap_or_default();
        refused(offset, named(&path), crate::rows::short(&fault.to_string()))
    })?;
    plan.check().map_err(|error| {
        let offset = keys::place(table, &keys::path_of(&error.field));
        let line = offset.map(|offset| keys::line_and_column(text, offset).0);
        FolderError::Plan { file: file.to_owned(), line, error: Box::new(error) }
    })?;
    Ok(plan)
}

/// What a refusal is about that no key is near.
const NO_KEY: &str = "run.toml";

fn named(path: &[Part]) -> String {
    let written = crate::rows::shown(&keys::written(path));
    if written.is_empty() { NO_KEY.to_owned() } else { written }
}

fn path_of(path: &serde_path_to_error::Path) -> Vec<Part> {
    let part = |segment: &Segment| match segment {
        Segment::Map { key } => Some(Part::Key(key.clone())),
        Segment::Seq { index } => Some(Part::Element(*index)),
        Segment::Enum { .. } | Segment::Unknown => None,
    };
    path.iter().filter_map(part).collect()
}

/// The plan as the text of a `run.toml`; [`parse_plan`] gives back the same plan.
///
/// # Errors
/// [`FolderError::Unwritable`] where TOML cannot hold it.
pub fn write_plan(plan: &RunPlan) -> Result<String, FolderError> {
    toml::to_string(plan).map_err(|error| FolderError::Unwritable { what: error.to_string() })
}
