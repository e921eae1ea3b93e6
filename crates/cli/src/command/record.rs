//! `middlecut export`, `import`, `backup` and `verify`: the record, from outside the page.

use std::path::Path;

use serde::Serialize;
use server::{Clock, EXAMPLE_FOLDER};
use store::{RunId, Store, StoreError};

use super::data;
use crate::args::{BackupArgs, ExportArgs, ImportArgs, VerifyArgs};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct RunWire<'a> {
    run: &'a str,
    folder: String,
}

#[derive(Debug, Serialize)]
struct BackupWire {
    file: String,
}

#[derive(Debug, Serialize)]
struct VerifyWire {
    ok: bool,
    runs: i64,
    entries: i64,
    list: Vec<ListedWire>,
}

#[derive(Debug, Serialize)]
struct ListedWire {
    run: String,
    title: String,
}

/// Writes a run as a folder; rehearsals of the example house are kept apart and found too.
pub(crate) fn export(args: &ExportArgs, json: bool) -> Result<(), CliError> {
    let data = data::folder(args.data.as_deref())?;
    let run = RunId::new(&args.run);
    let done = Store::open_read_only(&data)?.export(&run, &args.folder);
    match done {
        Err(StoreError::NoRun { run: named }) => {
            let example = Store::open_read_only(&data.join(EXAMPLE_FOLDER));
            example.map_err(|_| StoreError::NoRun { run: named })?.export(&run, &args.folder)?;
        }
        other => other?,
    }
    say_run(run.as_str(), &args.folder, json)
}

/// Takes a run folder into the record.
pub(crate) fn import(args: &ImportArgs, json: bool) -> Result<(), CliError> {
    // The folder is read first: bad input must not even make an empty record.
    let folder = store::folder::read(&args.folder)?;
    let store = Store::open(&data::folder(args.data.as_deref())?)?;
    let run = store.import_folder(folder, Clock::default().now_ms())?;
    say_run(run.as_str(), &args.folder, json)
}

fn say_run(run: &str, folder: &Path, json: bool) -> Result<(), CliError> {
    let folder = folder.display().to_string();
    if json {
        print::json(&RunWire { run, folder })?;
    } else {
        print::text(&format!("run     {run}\nfolder  {folder}\n"))?;
    }
    Ok(())
}

/// Copies the record into a new file.
pub(crate) fn backup(args: &BackupArgs, json: bool) -> Result<(), CliError> {
    Store::open_read_only(&data::folder(args.data.as_deref())?)?.backup(&args.file)?;
    let file = args.file.display().to_string();
    if json {
        print::json(&BackupWire { file })?;
    } else {
        print::text(&format!("backup  {file}\n"))?;
    }
    Ok(())
}

/// Checks the record's chain.
pub(crate) fn verify(args: &VerifyArgs, json: bool) -> Result<(), CliError> {
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    let report = store.verify()?;
    let runs = store.runs(false)?;
    if json {
        let list =
            runs.into_iter().map(|run| ListedWire { run: run.id.to_string(), title: run.title });
        let list = list.collect();
        let (runs, entries) = (report.runs, report.entries);
        print::json(&VerifyWire { ok: true, runs, entries, list })?;
        return Ok(());
    }
    let rows: Vec<Vec<String>> =
        runs.into_iter().map(|run| vec![run.id.to_string(), run.title]).collect();
    let whole = format!("the record is whole: {} entries, every digest holds\n", report.entries);
    print::text(&format!("{whole}{}", print::columns(&rows)))?;
    Ok(())
}
