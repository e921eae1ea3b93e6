//! `middlecut washes`: washes in the record, from the yeast to the charge.

mod notes;
mod told;
mod write;

use std::path::Path;

use ferment::Recipe;
use server::Clock;
use store::folder::{WASH_FILE, WASH_HOURS_MAX, WashFolder};
use store::{RunId, Store, WashBy, WashState};

use super::data;
use crate::args::{WashByArgs, WashesArgs, WashesCommand};
use crate::error::CliError;
use crate::print;

/// Does what was asked.
pub(crate) fn run(args: &WashesArgs, json: bool) -> Result<(), CliError> {
    match &args.what {
        WashesCommand::List(args) => told::list(&reading(args.data.as_deref())?, json),
        WashesCommand::Show(args) => {
            let state = named(&reading(args.data.as_deref())?, &args.wash)?;
            show(&state, json)
        }
        WashesCommand::Export(args) => {
            let state = named(&reading(args.data.as_deref())?, &args.wash)?;
            state.folder().write(&args.folder)?;
            let folder = args.folder.display().to_string();
            if json {
                let id = state.id.as_str();
                print::json(&serde_json::json!({ "id": id, "folder": folder }))?;
            } else {
                print::text(&format!("folder  {folder}\n"))?;
            }
            Ok(())
        }
        WashesCommand::Open(args) => write::open(args, json),
        WashesCommand::Import(args) => write::import(args, json),
        WashesCommand::Read(args) => write::read(args, json),
        WashesCommand::Act(args) => write::act(args, json),
        WashesCommand::Strike(args) => write::strike(args, json),
        WashesCommand::Recipe(args) => write::recipe(args, json),
        WashesCommand::Charge(args) => write::charge(args, json),
        WashesCommand::Pour(args) => write::pour(args, json),
        WashesCommand::Notes(args) => notes::run(args, json),
    }
}

fn reading(named: Option<&Path>) -> Result<Store, CliError> {
    Ok(Store::open_read_only(&data::folder(named)?)?)
}

/// The wash of an id, or the only one of a title.
fn named(store: &Store, text: &str) -> Result<WashState, CliError> {
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
fn moment(args: &WashByArgs) -> Result<(i64, i32), CliError> {
    super::account::moment("--at", args.at.as_deref())
}

fn by(args: &WashByArgs) -> WashBy {
    WashBy { by: args.by.clone(), key: None }
}

/// A recipe of a file or a folder.
fn recipe_of(path: &Path) -> Result<Recipe, CliError> {
    if path.is_dir() {
        return Ok(WashFolder::read(path, -1.0)?.recipe);
    }
    let missing = |source| store::folder::FolderError::Io { path: path.to_owned(), source };
    let text = std::fs::read_to_string(path).map_err(missing)?;
    Ok(WashFolder::of_files(&[(WASH_FILE.to_owned(), text)].into())?.recipe)
}

/// Prints a wash with its forecast: as of now, or as of its end.
fn show(state: &WashState, json: bool) -> Result<(), CliError> {
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
