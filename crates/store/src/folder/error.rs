//! Everything a run folder can be refused for, each naming where and what to do.

use std::path::{Path, PathBuf};

use still::plan::PlanError;

use crate::rows::RowFault;

/// Why a run folder, or one of its files, cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// The disk refuses.
    #[error("{}: {source}", path.display())]
    Io {
        /// File or folder.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
    /// The folder has a plan but neither readings nor actions.
    #[error("{}: neither readings.csv nor actions.csv is there", dir.display())]
    NoRecord {
        /// The folder.
        dir: PathBuf,
    },
    /// Something is in the way of a new folder.
    #[error("{}: the folder is not empty", dir.display())]
    NotEmpty {
        /// The folder.
        dir: PathBuf,
    },
    /// The bytes are no text.
    #[error("{}:{line}: not UTF-8 text", file.display())]
    NotText {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
    },
    /// A line or a small file is longer than any real one.
    #[error("{}:{line}: longer than {limit} bytes", file.display())]
    TooLong {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
        /// Most bytes.
        limit: usize,
    },
    /// A table has more rows than any real one.
    #[error("{}: more than {limit} rows", file.display())]
    TooManyRows {
        /// The file.
        file: PathBuf,
        /// Most rows.
        limit: usize,
    },
    /// A quoted cell is never closed.
    #[error("{}:{line}: a quoted cell is never closed", file.display())]
    OpenQuote {
        /// The file.
        file: PathBuf,
        /// Where it opens.
        line: usize,
    },
    /// The plan is no TOML, or a key is unknown, missing or of the wrong type.
    #[error("{}:{line}:{column}: {key}: {what}", file.display())]
    Toml {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
        /// Counted from 1.
        column: usize,
        /// Path of the key, as `still.stages`.
        key: String,
        /// What is wrong.
        what: String,
    },
    /// The plan reads well but cannot be run.
    #[error("{}{}: {error}", file.display(), line.map(|line| format!(":{line}")).unwrap_or_default())]
    Plan {
        /// The file.
        file: PathBuf,
        /// Line of the key, where it can be told.
        line: Option<usize>,
        /// The rule it breaks.
        error: Box<PlanError>,
    },
    /// The recipe of a wash reads well but cannot be.
    #[error("{}{}: {error}", file.display(), line.map(|line| format!(":{line}")).unwrap_or_default())]
    Recipe {
        /// The file.
        file: PathBuf,
        /// Line of the key, where it can be told.
        line: Option<usize>,
        /// The rule it breaks.
        error: Box<ferment::RecipeError>,
    },
    /// The header names no, an unknown or a double column, or lacks one.
    #[error("{}:1: column {column}: {what}", file.display())]
    Column {
        /// The file.
        file: PathBuf,
        /// The column.
        column: String,
        /// What is wrong.
        what: &'static str,
        /// The columns that exist.
        known: String,
    },
    /// A row has more or fewer cells than the header.
    #[error("{}:{line}: {found} cells where the header has {expected}", file.display())]
    CellCount {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
        /// Cells of this row.
        found: usize,
        /// Cells of the header.
        expected: usize,
    },
    /// A cell is wrong.
    #[error("{}:{line}: {fault}", file.display())]
    Row {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
        /// The cell.
        fault: Box<RowFault>,
    },
    /// The outcome is no JSON.
    #[error("{}:{line}: {what}", file.display())]
    Json {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: usize,
        /// What the parser says.
        what: String,
    },
    /// The plan cannot be written as TOML.
    #[error("the plan cannot be written as TOML: {what}")]
    Unwritable {
        /// What the writer says.
        what: String,
    },
}

impl FolderError {
    pub(crate) fn io(path: &Path, source: std::io::Error) -> Self {
        Self::Io { path: path.to_owned(), source }
    }

    /// Stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Io { .. } => "file_unreadable",
            Self::NoRecord { .. } => "record_missing",
            Self::NotEmpty { .. } => "folder_not_empty",
            Self::NotText { .. } => "not_text",
            Self::TooLong { .. } => "line_too_long",
            Self::TooManyRows { .. } => "too_many_rows",
            Self::OpenQuote { .. } => "open_quote",
            Self::Toml { .. } => "plan_unreadable",
            Self::Plan { .. } => "plan_refused",
            Self::Recipe { .. } => "recipe_refused",
            Self::Column { .. } => "column_refused",
            Self::CellCount { .. } => "cell_count",
            Self::Row { .. } => "cell_refused",
            Self::Json { .. } => "outcome_unreadable",
            Self::Unwritable { .. } => "plan_unwritable",
        }
    }

    /// Key or column, value and bound, where the error is about one of them.
    #[must_use]
    pub fn field(&self) -> Option<(&str, &str, &str)> {
        match self {
            Self::Toml { key, what, .. } => Some((key, "", what)),
            Self::Plan { error, .. } => Some((&error.field, &error.value, &error.bound)),
            Self::Recipe { error, .. } => Some((&error.field, &error.value, &error.bound)),
            Self::Column { column, what, .. } => Some((column, "", what)),
            Self::Row { fault, .. } => Some((fault.column, &fault.value, &fault.bound)),
            _ => None,
        }
    }

    /// File, line and column (from 1), as far as each is known.
    #[must_use]
    pub fn place(&self) -> Option<(&Path, Option<usize>, Option<usize>)> {
        match self {
            Self::Io { path: file, .. }
            | Self::NoRecord { dir: file }
            | Self::NotEmpty { dir: file }
            | Self::TooManyRows { file, .. } => Some((file, None, None)),
            Self::Column { file, .. } => Some((file, Some(1), None)),
            Self::Toml { file, line, column, .. } => Some((file, Some(*line), Some(*column))),
            Self::Plan { file, line, .. } | Self::Recipe { file, line, .. } => {
                Some((file, *line, None))
            }
            Self::NotText { file, line }
            | Self::TooLong { file, line, .. }
            | Self::OpenQuote { file, line }
            | Self::CellCount { file, line, .. }
            | Self::Row { file, line, .. }
            | Self::Json { file, line, .. } => Some((file, Some(*line), None)),
            Self::Unwritable { .. } => None,
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Io { source, .. } if source.kind() == std::io::ErrorKind::NotFound => {
                "check the path; a run folder holds run.toml, that of a wash wash.toml, and tables beside it".into()
            }
            Self::Io { source, .. } => io_hint(source).into(),
            Self::NoRecord { .. } => {
                "to simulate a plan that was not yet run, forecast its run.toml instead".into()
            }
            Self::NotEmpty { .. } => "name a new folder: nothing is written over".into(),
            Self::NotText { .. } => "save the file as UTF-8 text".into(),
            Self::TooLong { .. } => "this is no file of a run; check which file was given".into(),
            Self::TooManyRows { .. } => {
                "thin the readings to one every few seconds, or split the run".into()
            }
            Self::OpenQuote { .. } => {
                "close the cell with a quotation mark; write one inside a cell twice".into()
            }
            Self::Toml { .. } => {
                "compare with a run.toml of the examples; text stands in quotation marks, numbers with a decimal point"
                    .into()
            }
            Self::Plan { error, .. } => error.hint.clone(),
            Self::Recipe { error, .. } => error.hint.to_owned(),
            Self::Column { known, .. } => format!("the first line names columns of: {known}"),
            Self::CellCount { .. } => {
                "cells are parted by commas, numbers have a decimal point; put a text with a comma into quotation marks"
                    .into()
            }
            Self::Row { fault, .. } => fault.hint.clone(),
            Self::Json { .. } => "outcome.json is optional: leave it out, or mend it".into(),
            Self::Unwritable { .. } => "check the plan first".into(),
        }
    }
}

/// What to do where the disk refuses.
pub(crate) fn io_hint(source: &std::io::Error) -> &'static str {
    match source.kind() {
        std::io::ErrorKind::AlreadyExists => {
            "name one that is not there yet: nothing is written over"
        }
        std::io::ErrorKind::IsADirectory => {
            "name the file itself; that of a run's plan is run.toml in its folder"
        }
        std::io::ErrorKind::NotADirectory => "name the folder, not a file in it",
        _ => "check the path, the rights and the room on the disk",
    }
}
