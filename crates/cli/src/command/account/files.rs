//! The files of a book on disk.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use store::book::{PAGE_FILE, TABLE_FILE, page, write};
use store::{Store, StoreError};

use crate::command::progress::Progress;
use crate::error::CliError;

/// How many entries are written between two looks at the line of progress.
const TOLD_EVERY: u64 = 1000;

fn failed(option: &'static str, path: &Path) -> impl Fn(std::io::Error) -> CliError + use<> {
    let path = path.to_owned();
    move |why| CliError::Write { option, path: path.clone(), why }
}

/// Writes the book of a record into a new or empty folder; gives entries and head digest.
pub(super) fn export(
    store: &Store,
    folder: &Path,
    profile: &str,
    without_names: bool,
) -> Result<(u64, String), CliError> {
    let failed = |path: &Path| failed("DIR", path);
    fs::create_dir_all(folder).map_err(failed(folder))?;
    if fs::read_dir(folder).map_err(failed(folder))?.next().is_some() {
        return Err(CliError::Typed {
            option: "DIR",
            value: folder.display().to_string(),
            bound: "must be new or empty",
            hint: "name another folder: a book is never written over".to_owned(),
        });
    }
    let entries = store.account(account::Ledger::length)?;
    let progress = Progress::of_things(usize::try_from(entries).unwrap_or(usize::MAX));
    let path = folder.join(TABLE_FILE);
    // Written beside and renamed, so that half a book is never there under its name.
    let part = folder.join(format!("{TABLE_FILE}.part"));
    let mut file = std::io::BufWriter::new(fs::File::create(&part).map_err(failed(&part))?);
    let mut put = |text: &str| file.write_all(text.as_bytes()).map_err(failed(&part));
    let head = write(profile, without_names, &mut put, |line| {
        let mut fault = None;
        let read = store.for_each_account_entry(|numbered| {
            if numbered.number % TOLD_EVERY == 0 {
                progress.doing(format!("entry {}", numbered.number));
            }
            progress.one_done();
            line(&numbered).map_err(|error| {
                fault = Some(error);
                StoreError::ReadOnly
            })
        });
        fault.map_or_else(|| read.map_err(CliError::from), Err)
    })?;
    file.into_inner()
        .map_err(std::io::IntoInnerError::into_error)
        .and_then(|file| file.sync_all())
        .map_err(failed(&part))?;
    fs::rename(&part, &path).map_err(failed(&path))?;
    // The page is made from the table as it lies there, which checks it once more.
    let page = page(&fs::read(&path).map_err(failed(&path))?).map_err(StoreError::from)?;
    let path = folder.join(PAGE_FILE);
    fs::write(&path, page).map_err(failed(&path))?;
    Ok((entries, head))
}

/// The bytes of a book: its table, and its page where the folder has one.
pub(super) fn bytes(book: &Path) -> Result<(Vec<u8>, Option<Vec<u8>>), CliError> {
    let (table, page) = if book.is_dir() {
        (book.join(TABLE_FILE), Some(book.join(PAGE_FILE)).filter(|page| page.exists()))
    } else {
        (book.to_path_buf(), None)
    };
    let of = |path: PathBuf| {
        fs::read(&path).map_err(|why| CliError::Unfit {
            file: path.clone(),
            line: None,
            what: format!("cannot be read: {why}"),
            hint: "name the folder of a book, or its table".to_owned(),
        })
    };
    Ok((of(table)?, page.map(of).transpose()?))
}
