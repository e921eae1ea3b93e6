//! A TOML file of ours handed to its type, with refusals that name line, column and key.

mod keys;
mod node;

use keys::Part;
use node::{Fault, Node};
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Why a text is no such file: no TOML, or a key that is unknown, missing or of the wrong type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TomlFault {
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1.
    pub column: usize,
    /// Path of the key, as `still.stages`; the name of the file where no key is near.
    pub key: String,
    /// What is wrong.
    pub what: String,
}

/// Where the keys of a parsed text stand.
#[derive(Debug)]
pub struct Places<'text> {
    text: &'text str,
    whole: Spanned<DeValue<'text>>,
}

impl Places<'_> {
    /// Line of a key, as `step[3].until_ml`, or of the nearest table around it.
    #[must_use]
    pub fn line(&self, key: &str) -> Option<usize> {
        let offset = keys::place(self.whole.get_ref().as_table()?, &keys::path_of(key))?;
        Some(keys::line_and_column(self.text, offset).0)
    }
}

/// Reads a text into a type; `name` is what the file is called.
///
/// # Errors
/// [`TomlFault`].
pub fn read<'text, T: DeserializeOwned>(
    text: &'text str,
    name: &str,
) -> Result<(T, Places<'text>), TomlFault> {
    let refused = |offset: usize, key: String, what: String| {
        let (line, column) = keys::line_and_column(text, offset);
        TomlFault { line, column, key, what }
    };
    if let Some(offset) = keys::too_deep(text) {
        let what = format!("a key of more than {} parts; no file has one", keys::KEY_PARTS_MAX);
        return Err(refused(offset, name.to_owned(), what));
    }
    let table = DeTable::parse(text).map_err(|error| {
        let offset = error.span().map_or(0, |span| span.start);
        // What could be read all the same tells near which key the text goes wrong.
        let (table, _) = DeTable::parse_recoverable(text);
        let mut path = keys::key_before(table.get_ref(), offset);
        if let (Some(key), Some(Part::Key(last))) = (keys::key_at(text, offset), path.last_mut()) {
            key.clone_into(last);
        }
        refused(offset, named(&path, name), crate::rows::short(error.message()))
    })?;
    let whole = Spanned::new(table.span(), DeValue::Table(table.into_inner()));
    let none = DeTable::new();
    let table = whole.get_ref().as_table().unwrap_or(&none);
    let value: T = serde_path_to_error::deserialize(Node(&whole)).map_err(|error| {
        let mut path = path_of(error.path());
        let fault = error.into_inner();
        if let Fault::Missing(key) = fault {
            path.push(Part::Key(key.to_owned()));
        }
        let offset = keys::place(table, &path).unwrap_or_default();
        refused(offset, named(&path, name), crate::rows::short(&fault.to_string()))
    })?;
    Ok((value, Places { text, whole }))
}

fn named(path: &[Part], name: &str) -> String {
    let written = crate::rows::shown(&keys::written(path));
    if written.is_empty() { name.to_owned() } else { written }
}

fn path_of(path: &serde_path_to_error::Path) -> Vec<Part> {
    let part = |segment: &Segment| match segment {
        Segment::Map { key } => Some(Part::Key(key.clone())),
        Segment::Seq { index } => Some(Part::Element(*index)),
        Segment::Enum { .. } | Segment::Unknown => None,
    };
    path.iter().filter_map(part).collect()
}
