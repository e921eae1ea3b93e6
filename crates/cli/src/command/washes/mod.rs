//! `middlecut washes`: washes in the record, from the yeast to the charge.

mod named;
mod notes;
mod told;
mod write;

use crate::args::{WashesArgs, WashesCommand};
use crate::error::CliError;
use crate::print;
use named::{named, reading, show};

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
