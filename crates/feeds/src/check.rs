//! Reads a `feeds.toml` and checks it: what it may hold, within which bounds.

mod broker;
mod rules;
mod source;
mod still;
mod value;

use std::path::Path;

use serde::Deserialize;
use store::toml_text::{self, Places, TomlFault};

use crate::error::FeedsError;
use crate::file::Feeds;
use broker::BrokerTable;
pub use rules::{NAME_CHARACTERS_MAX, SOURCES_MAX, STILLS_MAX, VALUES_MAX};
use rules::{Refused, refused, within};
use still::StillTable;

/// Name of the file in the data folder.
pub const FILE: &str = "feeds.toml";
/// The format that is read.
const FORMAT: u32 = 1;

/// The file as it is written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    format: u32,
    broker: Option<BrokerTable>,
    #[serde(default, rename = "still")]
    stills: Vec<StillTable>,
}

/// Reads and checks the text of a file.
///
/// # Errors
/// [`FeedsError`] naming file, line, key, value, bound and hint.
pub fn parse(text: &str, file: &Path) -> Result<Feeds, FeedsError> {
    let (table, places) = toml_text::read::<Table>(text, FILE).map_err(|fault| {
        let TomlFault { line, key, what, .. } = fault;
        let hint = "docs/feeds.md has a worked example; text stands in quotation marks";
        let value = String::new();
        FeedsError { file: file.into(), line: Some(line), key, value, bound: what, hint }
    })?;
    checked(table).map_err(|refused| at(&places, refused, file))
}

fn at(places: &Places<'_>, refused: Refused, file: &Path) -> FeedsError {
    let Refused { key, value, bound, hint } = refused;
    let line = places.line(&key);
    FeedsError { file: file.into(), line, key, value, bound, hint }
}

fn checked(table: Table) -> Result<Feeds, Refused> {
    if table.format != FORMAT {
        let bound = format!("must be {FORMAT}");
        return Err(refused("format", &table.format, bound, "this version reads no other"));
    }
    let broker = table.broker.map(BrokerTable::checked).transpose()?;
    // A broker may be told of runs whose probes are read elsewhere.
    let told = broker.as_ref().is_some_and(|broker| broker.publish.is_some());
    if !(told && table.stills.is_empty()) {
        within("still", table.stills.len(), STILLS_MAX, "list every still that has a probe")?;
    }
    let mut stills: Vec<crate::file::StillFeeds> = Vec::new();
    for (index, still) in table.stills.into_iter().enumerate() {
        let key = format!("still[{}]", index + 1);
        let still = still.checked(&key, broker.as_ref())?;
        if stills.iter().any(|other| other.name == still.name) {
            let bound = "must not be there twice";
            return Err(refused(format!("{key}.name"), &still.name, bound, "join the two tables"));
        }
        stills.push(still);
    }
    Ok(Feeds { stills, broker })
}
