//! `record.toml`: where the run of a folder comes from. Readers that do not know it pass it over.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::error::FolderError;
use super::limits::LINE_BYTES_MAX;
use super::lines;

/// Name of the file.
pub(super) const FILE: &str = "record.toml";
/// The format that is written.
const FORMAT: u32 = 1;

/// Where the run of a folder, or an imported run, comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// Its name in the record it was first kept in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<String>,
    /// Whether a simulated still was rehearsed on; none where nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rehearsed: Option<bool>,
    /// A rehearsal's seed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u64>,
    /// Digest of the plan and the rows.
    pub digest: String,
}

/// The file. A seed is text: it can be larger than a number of TOML.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    run: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mode: Option<Mode>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    seed: Option<String>,
    digest: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Mode {
    Real,
    Rehearsal,
}

/// The text of the file.
pub(super) fn text(origin: &Origin) -> Result<String, FolderError> {
    let mode = |rehearsed| if rehearsed { Mode::Rehearsal } else { Mode::Real };
    let file = File {
        format: FORMAT,
        run: origin.run.clone(),
        mode: origin.rehearsed.map(mode),
        seed: origin.seed.map(|seed| seed.to_string()),
        digest: origin.digest.clone(),
    };
    toml::to_string(&file).map_err(|error| FolderError::Unwritable { what: error.to_string() })
}

/// Reads the file, where there is one.
pub(super) fn read(path: &Path) -> Result<Option<Origin>, FolderError> {
    if !path.exists() {
        return Ok(None);
    }
    let text = lines::read_small(path, LINE_BYTES_MAX)?;
    let refused = |key: &str, what: String| FolderError::Toml {
        file: path.to_owned(),
        line: 1,
        column: 1,
        key: key.to_owned(),
        what,
    };
    let file: File = toml::from_str(&text)
        .map_err(|error| refused(FILE, crate::rows::short(error.message())))?;
    if file.format != FORMAT {
        return Err(refused("format", format!("must be {FORMAT}")));
    }
    let seed = file.seed.map(|seed| seed.parse()).transpose();
    let seed =
        seed.map_err(|_| refused("seed", "must be a whole number in quotation marks".into()))?;
    let rehearsed = file.mode.map(|mode| mode == Mode::Rehearsal);
    Ok(Some(Origin { run: file.run, rehearsed, seed, digest: file.digest }))
}
