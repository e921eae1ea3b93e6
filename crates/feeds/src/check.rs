//! Reads a `feeds.toml` and checks it: what it may hold, within which bounds.

mod broker;
mod rules;
mod source;
mod twice;
mod value;
mod vessel;

use std::path::Path;

use serde::Deserialize;
use store::toml_text::{self, Places, TomlFault};

use crate::broker::Broker;
use crate::error::FeedsError;
use crate::file::{Feeds, FeedsOf, Whose};
use broker::BrokerTable;
pub use rules::{NAME_CHARACTERS_MAX, SOURCES_MAX, STILLS_MAX, VALUES_MAX};
use rules::{Refused, refused, within};
use vessel::FeedsTable;

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
    stills: Vec<FeedsTable>,
    #[serde(default, rename = "wash")]
    washes: Vec<FeedsTable>,
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
    let any = !table.washes.is_empty() || told;
    if !(any && table.stills.is_empty()) {
        within("still", table.stills.len(), STILLS_MAX, "list every still that has a probe")?;
    }
    if !table.washes.is_empty() {
        within("wash", table.washes.len(), STILLS_MAX, "take out those that are over")?;
    }
    let stills = all(table.stills, Whose::Still, broker.as_ref())?;
    let washes = all(table.washes, Whose::Wash, broker.as_ref())?;
    let feeds = Feeds { stills, washes, broker };
    twice::refuse_twice(&feeds)?;
    Ok(feeds)
}

fn all(
    tables: Vec<FeedsTable>,
    whose: Whose,
    broker: Option<&Broker>,
) -> Result<Vec<FeedsOf>, Refused> {
    let mut all: Vec<FeedsOf> = Vec::new();
    for (index, table) in tables.into_iter().enumerate() {
        let key = format!("{}[{}]", whose.word(), index + 1);
        let one = table.checked(&key, whose, broker)?;
        if all.iter().any(|other| other.name == one.name) {
            let bound = "must not be there twice";
            return Err(refused(format!("{key}.name"), &one.name, bound, "join the two tables"));
        }
        all.push(one);
    }
    Ok(all)
}
