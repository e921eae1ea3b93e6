//! Which wash is meant, who writes and when, and the wash as it is shown afterwards.

use std::path::Path;

use ferment::Recipe;
use server::Clock;
use store::folder::{WASH_FILE, WASH_HOURS_MAX, WashFolder};
use store::{RunId, Store, WashBy, WashState};

use super::told;
use crate::args::WashByArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print;

/// The record, for reading.
pub(super) fn reading(named: Option<&Path>) -> Result<Store, CliError> {
    Ok(Store::open_read_only(&data::folder(named)?)?)
}

/// The wash of an id, or the only one of a title.
pub(super) fn named(store: &Store, text: &str) -> Result<WashState, CliError> {
    let id = RunId::new(text);
    if id.is_wash() {
        return Ok(store.wash(&id)?);
    }
    let mut of_title = store.washes()?;
    of_title.retain(|wash| wash.recipe.title == text);
    match (of_title.pop(), of_title.is_empty()) {
        (Some(only), true) => Ok(only),
        (found, _) => Err(CliError::Typed {
            option: "WASH",
            value: text.to_owned(),
            bound: if found.is_some() {
                "must be an id: more than one wash has this title"
            } else {
                "must be the id or the title of a wash of this record"
            },
            hint: "`middlecut washes list` names them".to_owned(),
        }),
    }
}

/// When it was, as typed or now, ms of UTC and the zone.
pub(super) fn moment(args: &WashByArgs) -> Result<(i64, i32), CliError> {
    crate::command::account::moment("--at", args.at.as_deref())
}

pub(super) fn by(args: &WashByArgs) -> WashBy {
    WashBy { by: args.by.clone(), key: None }
}

/// A recipe of a file or a folder.
pub(super) fn recipe_of(path: &Path) -> Result<Recipe, CliError> {
    if path.is_dir() {
        return Ok(WashFolder::read(path, -1.0)?.recipe);
    }
    let missing = |source| store::folder::FolderError::Io { path: path.to_owned(), source };
    let text = std::fs::read_to_string(path).map_err(missing)?;
    Ok(WashFolder::of_files(&[(WASH_FILE.to_owned(), text)].into())?.recipe)
}

/// Prints a wash with its forecast: as of now, or as of its end.
pub(super) fn show(state: &WashState, json: bool) -> Result<(), CliError> {
    let now_ms = Clock::default().now_ms();
    let at_ms = state.ended.as_ref().map_or(now_ms, |(_, end)| end.at_ms);
    let at_h = state.hours(at_ms).min(WASH_HOURS_MAX);
    let log = state.log(at_h);
    let forecast = ferment::forecast(&state.recipe, &log, at_h)
        .map_err(|error| store::StoreError::from(Box::new(error)))?;
    if json {
        print::json(&told::WashWire::new(state, &log, &forecast))?;
    } else {
        print::text(&told::text(state, &log, &forecast))?;
    }
    Ok(())
}
