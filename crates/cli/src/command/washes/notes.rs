//! `middlecut washes notes`: rows of a table as readings of a wash, each judged by itself.

use serde::Serialize;
use server::Clock;
use store::folder::{FolderError, read_wash_notes};
use store::{Store, WashEntry, WashRead};

use super::named::{by, named};
use crate::args::WashNotesArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print;

/// A row that is refused.
#[derive(Debug, Serialize)]
struct RefusedWire {
    what: String,
    hint: String,
}

#[derive(Debug, Serialize)]
struct NotesWire {
    rows: usize,
    entered: usize,
    refused: Vec<RefusedWire>,
}

fn refused(what: String, hint: String) -> RefusedWire {
    RefusedWire { what, hint }
}

/// Takes a table in, or only says what of it would be refused. Nothing is taken where a row is.
pub(super) fn run(args: &WashNotesArgs, json: bool) -> Result<(), CliError> {
    let folder = data::existing(args.by.data.as_deref())?;
    let store = if args.dry_run { Store::open_read_only(&folder)? } else { Store::open(&folder)? };
    let state = named(&store, &args.wash)?;
    let found = read_wash_notes(&args.file)?;
    let (rows, now_ms, mut out) = (found.len(), Clock::default().now_ms(), Vec::new());
    let mut entries = Vec::new();
    for (row, place) in found.into_iter().zip(1..) {
        match row {
            Err(error) => out.push(refused(FolderError::to_string(&error), error.hint())),
            Ok((hours, row)) => {
                let at_ms = state.moment(hours);
                let entry = WashEntry::Read(WashRead {
                    at_ms,
                    row,
                    corrects: None,
                    units: Vec::new(),
                    by: by(&args.by),
                });
                match state.judge(&entry, now_ms) {
                    Ok(()) => entries.push(entry),
                    Err(error) => out.push(refused(format!("row {place}: {error}"), error.hint())),
                }
            }
        }
    }
    let entered = if args.dry_run || !out.is_empty() { 0 } else { entries.len() };
    if entered > 0 {
        store.write_wash(&state.id, entries, now_ms)?;
    }
    let wire = NotesWire { rows, entered, refused: out };
    if json {
        print::json(&wire)?;
    } else {
        let mut said = format!("rows     {rows}\nentered  {entered}\n");
        for one in &wire.refused {
            said.push_str(&["refused  ", &one.what, "; ", &one.hint, "\n"].concat());
        }
        print::text(&said)?;
    }
    if wire.refused.is_empty() || args.dry_run {
        return Ok(());
    }
    Err(CliError::Typed {
        option: "FILE",
        value: args.file.display().to_string(),
        bound: "must have no row that is refused: nothing was entered",
        hint: "mend those rows, or look first with --dry-run".to_owned(),
    })
}
