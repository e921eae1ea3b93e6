//! A run on disk: `run.toml`, `readings.csv`, `actions.csv`, `jars.csv` and perhaps `record.toml`,
//! `instruments.csv` and `outcome.json`.

mod digest;
mod error;
mod limits;
mod lines;
mod origin;
mod plan;
mod reader;
mod table;
mod tables;
mod wash;
mod whole;

use std::fs;
use std::path::Path;

pub use digest::digest;
pub use error::FolderError;
pub(crate) use error::io_hint;
pub use limits::{LINE_BYTES_MAX, ROWS_MAX};
pub use origin::Origin;
pub use plan::{parse_plan, read_plan, write_plan};
use sense::RecordedRun;
pub use wash::{
    WASH_FILE, WASH_HOURS_MAX, WASH_READINGS_FILE, WashFolder, WashNote, read_wash, read_wash_notes,
};
pub use whole::RunFolder;

/// Reads a run folder whole.
///
/// # Errors
/// As [`read_record`], and for an `outcome.json` that is no JSON.
pub fn read(dir: &Path) -> Result<RunFolder, FolderError> {
    let run = read_record(dir)?;
    Ok(RunFolder { outcome: outcome(&dir.join("outcome.json"))?, ..run })
}

/// Reads what a run folder recorded; its `outcome.json` is not opened.
///
/// A table whose file is absent is empty, but readings or actions must be there: a folder with a
/// plan alone is no record (see [`read_plan`]).
///
/// # Errors
/// [`FolderError`] naming file, line, key or column, value, bound and hint.
pub fn read_record(dir: &Path) -> Result<RunFolder, FolderError> {
    let plan = read_plan(&dir.join("run.toml"))?;
    let (readings, actions) = (dir.join("readings.csv"), dir.join("actions.csv"));
    if !readings.exists() && !actions.exists() {
        return Err(FolderError::NoRecord { dir: dir.to_owned() });
    }
    let rows = RecordedRun {
        readings: tables::readings(&readings, plan.format)?,
        actions: tables::actions(&actions)?,
        jars: tables::jars(&dir.join("jars.csv"))?,
    };
    Ok(RunFolder { origin: origin::read(&dir.join(origin::FILE))?, ..RunFolder::new(plan, rows) })
}

/// Writes a run folder; [`read`] gives back the same run, bit for bit. Each file gets its name only
/// when it is whole, and the plan, without which a folder is no run, last.
///
/// # Errors
/// [`FolderError::NotEmpty`] where something is there already, [`FolderError::Io`] where the disk
/// refuses.
pub fn write(dir: &Path, run: &RunFolder) -> Result<(), FolderError> {
    put_files(dir, files(run)?)
}

/// Refuses a place that a folder cannot be written to, because something is there already.
///
/// # Errors
/// [`FolderError::NotEmpty`], or [`FolderError::Io`] where it cannot be looked into.
pub fn must_be_free(dir: &Path) -> Result<(), FolderError> {
    match fs::read_dir(dir) {
        Ok(mut inside) => {
            inside.next().map_or(Ok(()), |_| Err(FolderError::NotEmpty { dir: dir.to_owned() }))
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(source) => Err(FolderError::io(dir, source)),
    }
}

/// Writes files into a folder that is not there yet or is empty, the first one last: without it the
/// folder is none of its kind.
fn put_files(dir: &Path, mut files: Vec<(&'static str, Vec<u8>)>) -> Result<(), FolderError> {
    fs::create_dir_all(dir).map_err(|source| FolderError::io(dir, source))?;
    must_be_free(dir)?;
    files.rotate_left(1);
    let mut saved = Vec::new();
    for (name, bytes) in files {
        saved.push(dir.join(name));
        if let Err(error) = save(&dir.join(name), &bytes) {
            // Half a folder would be worse than none; what cannot be removed changes nothing.
            for path in saved {
                drop(fs::remove_file(path));
            }
            return Err(error);
        }
    }
    Ok(())
}

/// The files of a run folder as names and bytes, for an archive.
///
/// # Errors
/// [`FolderError`] where the plan cannot be written as text.
pub fn files(run: &RunFolder) -> Result<Vec<(&'static str, Vec<u8>)>, FolderError> {
    let mut files = vec![
        ("run.toml", write_plan(&run.plan)?.into_bytes()),
        ("readings.csv", tables::readings_csv(&run.rows.readings, run.plan.format)),
        ("actions.csv", tables::actions_csv(&run.rows.actions)),
        ("jars.csv", tables::jars_csv(&run.rows.jars)),
    ];
    if !run.instruments.lists().is_empty() {
        files.push(("instruments.csv", tables::instruments_csv(&run.instruments)));
    }
    if let Some(origin) = &run.origin {
        files.push((origin::FILE, origin::text(origin)?.into_bytes()));
    }
    if let Some(outcome) = &run.outcome {
        files.push(("outcome.json", format!("{outcome:#}\n").into_bytes()));
    }
    Ok(files)
}

fn save(path: &Path, bytes: &[u8]) -> Result<(), FolderError> {
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let written = fs::File::create_new(&part).and_then(|mut file| {
        std::io::Write::write_all(&mut file, bytes)?;
        file.sync_all()
    });
    let named = written.and_then(|()| fs::rename(&part, path));
    named.map_err(|source| {
        drop(fs::remove_file(&part));
        FolderError::io(path, source)
    })
}

fn outcome(path: &Path) -> Result<Option<serde_json::Value>, FolderError> {
    if !path.exists() {
        return Ok(None);
    }
    let text = lines::read_small(path, LINE_BYTES_MAX)?;
    serde_json::from_str(&text).map(Some).map_err(|error| FolderError::Json {
        file: path.to_owned(),
        line: error.line(),
        what: error.to_string(),
    })
}
