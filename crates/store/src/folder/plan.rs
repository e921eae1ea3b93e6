//! `run.toml`: read, checked, written.

use std::path::Path;

use still::plan::RunPlan;

use super::{FolderError, LINE_BYTES_MAX, lines, position};

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
    let plan: RunPlan = toml::from_str(text).map_err(|error| refused(text, file, &error))?;
    plan.check().map_err(|error| {
        let line = position::line_of(text, &error.field);
        FolderError::Plan { file: file.to_owned(), line, error: Box::new(error) }
    })?;
    Ok(plan)
}

/// The parser's refusal with the key it is about.
fn refused(text: &str, file: &Path, error: &toml::de::Error) -> FolderError {
    let offset = error.span().map_or(0, |span| span.start);
    let (line, column, section, key_here) = position::at(text, offset);
    let message = error.message();
    let named = |prefix: &str| {
        message.strip_prefix(prefix).and_then(|rest| rest.split('`').next()).map(|name| {
            let name = crate::rows::shown(name);
            if section.is_empty() { name } else { format!("{section}.{name}") }
        })
    };
    let (key, what) = if let Some(key) = named("unknown field `") {
        let known = message.split_once("expected ").map_or("", |(_, known)| known);
        (key, format!("unknown key; expected {known}"))
    } else if let Some(key) = named("missing field `") {
        (key, "this key is missing".to_owned())
    } else {
        let key = key_here.filter(|key| !key.is_empty());
        let plain = message
            .replace("expected f64", "expected a number")
            .replace("expected u32", "expected a whole number")
            .replace("expected a string", "expected text in quotation marks");
        (key.unwrap_or_else(|| "run.toml".into()), crate::rows::short(&plain))
    };
    FolderError::Toml { file: file.to_owned(), line, column, key, what }
}

/// The plan as the text of a `run.toml`; [`parse_plan`] gives back the same plan.
///
/// # Errors
/// [`FolderError::Unwritable`] where TOML cannot hold it.
pub fn write_plan(plan: &RunPlan) -> Result<String, FolderError> {
    toml::to_string(plan).map_err(|error| FolderError::Unwritable { what: error.to_string() })
}
