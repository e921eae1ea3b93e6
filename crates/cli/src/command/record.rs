//! `middlecut export`, `import`, `backup` and `verify`: the record, from outside the page.

use std::path::Path;

use serde::Serialize;
use server::{Clock, EXAMPLE_FOLDER};
use store::{Anchor, RecordHead, RunId, Store, StoreError, VerifyFailure, VerifyReport};

use super::{data, files};
use crate::args::{BackupArgs, ExportArgs, ImportArgs, PrintArgs, VerifyArgs};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct RunWire<'a> {
    run: &'a str,
    folder: String,
}

/// The sheet, or the file it was written to.
#[derive(Debug, Serialize)]
struct PrintedWire<'a> {
    run: &'a str,
    file: Option<String>,
    sheet: Option<String>,
}

#[derive(Debug, Serialize)]
struct BackupWire {
    file: String,
    entries: i64,
    digest: String,
}

#[derive(Debug, Serialize)]
struct VerifyWire {
    ok: bool,
    runs: i64,
    entries: i64,
    digest: String,
    losses_accepted: usize,
    sealed: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<String>,
    list: Vec<ListedWire>,
}

#[derive(Debug, Serialize)]
struct ListedWire {
    run: String,
    title: String,
}

/// Writes the sheet of a run, or prints it.
pub(crate) fn print_sheet(args: &PrintArgs, json: bool) -> Result<(), CliError> {
    let data = data::folder(args.data.as_deref())?;
    let sheet = server::printed_sheet(&data, &args.run, Clock::default().now_ms())?;
    let run = args.run.as_str();
    match &args.file {
        Some(file) => {
            if file.symlink_metadata().is_ok() {
                let why = std::io::Error::from(std::io::ErrorKind::AlreadyExists);
                return Err(CliError::Write { option: "FILE", path: file.clone(), why });
            }
            files::write_file("FILE", file, &sheet)?;
            let file = file.display().to_string();
            if json {
                print::json(&PrintedWire { run, file: Some(file), sheet: None })?;
            } else {
                print::text(&format!("run   {run}\nfile  {file}\n"))?;
            }
        }
        None if json => print::json(&PrintedWire { run, file: None, sheet: Some(sheet) })?,
        None => print::text(&sheet)?,
    }
    Ok(())
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
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    let RecordHead { entries, digest } = store.backup(&args.file)?;
    let file = args.file.display().to_string();
    if json {
        print::json(&BackupWire { file, entries, digest })?;
    } else {
        print::text(&format!("backup   {file}\nentries  {entries}\ndigest   {digest}\n"))?;
    }
    Ok(())
}

/// Checks the record's chain, and that it had the digest that is expected.
pub(crate) fn verify(args: &VerifyArgs, json: bool) -> Result<(), CliError> {
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    let report = store.verify()?;
    let expected = match &args.expect {
        Some(digest) => Some(held(&store, digest, report.entries)?),
        None => None,
    };
    let (runs, sealed) = (store.runs(false)?, store.is_sealed());
    if json {
        let list =
            runs.into_iter().map(|run| ListedWire { run: run.id.to_string(), title: run.title });
        let list = list.collect();
        let VerifyReport { runs, entries, digest, losses_accepted } = report;
        let ok = true;
        let said =
            VerifyWire { ok, runs, entries, digest, losses_accepted, sealed, expected, list };
        print::json(&said)?;
        return Ok(());
    }
    let rows: Vec<Vec<String>> =
        runs.into_iter().map(|run| vec![run.id.to_string(), run.title]).collect();
    let mut said = format!("the record is whole: {} entries, every digest holds\n", report.entries);
    let losses = match report.losses_accepted {
        0 => String::new(),
        1 => "one loss of entries is known and accepted\n".to_owned(),
        more => format!("{more} losses of entries are known and accepted\n"),
    };
    said.push_str(&losses);
    if !sealed {
        said.push_str("no seal lies beside it: a lost end is found by --expect only\n");
    }
    said.extend(expected.map(|where_| format!("{where_}\n")));
    print::text(&format!("{said}digest  {}\n{}", report.digest, print::columns(&rows)))?;
    Ok(())
}

/// Where the record had an expected digest, in words.
fn held(store: &Store, digest: &str, entries: i64) -> Result<String, CliError> {
    match store.anchor(digest)? {
        Some(Anchor::Record(at)) if at == entries => Ok("it is the digest expected".to_owned()),
        Some(Anchor::Record(at)) => Ok(format!(
            "it had the digest expected at {at} entries; {} were written since",
            entries - at
        )),
        Some(Anchor::Entry(run, number)) => {
            Ok(format!("entry {number} of run {run} has the digest expected"))
        }
        None => Err(CliError::NotWhole(VerifyFailure {
            run: "-".to_owned(),
            entry: 0,
            what: "it never had the digest expected: it is another record, an older one, or one \
                   that was written again"
                .to_owned(),
        })),
    }
}
