//! Which recordings lie below a folder, and which of them are runs of one still in a row.

use std::fs;
use std::path::{Path, PathBuf};

use still::plan::StillKind;
use store::folder::{FolderError, RunFolder};
use workbench::Truth;

use crate::error::BenchError;

/// How deep below the folder a run folder may lie.
const DEPTH_MAX: usize = 8;
/// Most run folders.
const RUNS_MAX: usize = 20_000;

/// One recording.
#[derive(Debug)]
pub(crate) struct Recording {
    /// Its folder below the collection, parts joined by `/`.
    pub(crate) name: String,
    /// Plan and rows.
    pub(crate) folder: RunFolder,
    /// What really happened, where that is known.
    pub(crate) truth: Option<Truth>,
}

/// Runs that belong together: one alone, or the runs of one still in order.
#[derive(Debug)]
pub(crate) struct Unit {
    /// In order; more than one is a series.
    pub(crate) runs: Vec<Recording>,
}

/// All recordings below `dir`, series kept together, in the order of their names.
pub(crate) fn find(dir: &Path) -> Result<Vec<Unit>, BenchError> {
    let mut units = Vec::new();
    if is_run_folder(dir) {
        let name = dir
            .file_name()
            .map_or_else(|| ".".to_owned(), |name| name.to_string_lossy().into_owned());
        return Ok(vec![Unit { runs: vec![read(dir, name)?] }]);
    }
    descend(dir, "", 0, &mut units)?;
    units.sort_by_cached_key(|unit| order_of(unit.runs.first().map_or("", |run| &run.name)));
    if units.is_empty() { Err(BenchError::NoRuns { dir: dir.to_path_buf() }) } else { Ok(units) }
}

fn is_run_folder(dir: &Path) -> bool {
    let has = |name: &str| dir.join(name).is_file();
    has("run.toml") && (has("readings.csv") || has("actions.csv"))
}

fn descend(
    dir: &Path,
    prefix: &str,
    depth: usize,
    units: &mut Vec<Unit>,
) -> Result<(), BenchError> {
    let mut runs = Vec::new();
    for (name, path) in inside(dir)? {
        let name = if prefix.is_empty() { name } else { format!("{prefix}/{name}") };
        if is_run_folder(&path) {
            runs.push(read(&path, name)?);
        } else if depth + 1 < DEPTH_MAX {
            descend(&path, &name, depth + 1, units)?;
        }
        if units.len() + runs.len() > RUNS_MAX {
            return Err(BenchError::Unfit {
                file: dir.to_path_buf(),
                line: None,
                what: format!("more than {RUNS_MAX} run folders"),
                hint: "name a smaller folder".to_owned(),
            });
        }
    }
    if is_series(&runs) {
        units.push(Unit { runs });
    } else {
        units.extend(runs.into_iter().map(|run| Unit { runs: vec![run] }));
    }
    Ok(())
}

/// Folders inside, numbers in the order of their value, then words.
fn inside(dir: &Path) -> Result<Vec<(String, PathBuf)>, BenchError> {
    let failed = |source| FolderError::Io { path: dir.to_path_buf(), source };
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.is_dir()
            && let Some(name) = path.file_name().and_then(|name| name.to_str())
        {
            found.push((name.to_owned(), path));
        }
    }
    found.sort_by_cached_key(|(name, _)| order_of(name));
    Ok(found)
}

/// Numbers in the order of their value, then words; folder by folder.
fn order_of(name: &str) -> Vec<(u64, String)> {
    name.split('/').map(|part| (number_of(part).unwrap_or(u64::MAX), part.to_owned())).collect()
}

fn number_of(name: &str) -> Option<u64> {
    let last = name.rsplit('/').next()?;
    last.chars().all(|c| c.is_ascii_digit()).then(|| last.parse().ok()).flatten()
}

/// Numbered folders, all with a still of the same kind and size: a collection of many stills is
/// numbered too.
fn is_series(runs: &[Recording]) -> bool {
    let apparatus = |run: &Recording| -> (StillKind, u64) {
        let still = &run.folder.plan.still;
        (still.kind, still.boiler_litres.to_bits())
    };
    let [first, rest @ ..] = runs else { return false };
    !rest.is_empty()
        && runs.iter().all(|run| number_of(&run.name).is_some())
        && rest.iter().all(|run| apparatus(run) == apparatus(first))
}

fn read(dir: &Path, name: String) -> Result<Recording, BenchError> {
    let folder = store::folder::read(dir)?;
    let truth = truth(dir, &folder)?;
    Ok(Recording { name, folder, truth })
}

/// The truth of a recording, where its folder holds one.
pub(crate) fn truth(dir: &Path, folder: &RunFolder) -> Result<Option<Truth>, BenchError> {
    let unfit = |what: String| {
        BenchError::Unfit {
        file: dir.join("outcome.json"),
        line: None,
        what,
        hint: "a truth to be scored against has at least hearts_start_s, end_of_hearts_s and hearts_l_20c".to_owned(),
    }
    };
    let Some(outcome) = &folder.outcome else { return Ok(None) };
    let truth: Truth =
        serde_json::from_value(outcome.clone()).map_err(|why| unfit(why.to_string()))?;
    if truth.hearts_s() > 0.0 && truth.hearts_l_20c > 0.0 {
        return Ok(Some(truth));
    }
    Err(unfit(format!(
        "end_of_hearts_s is {}: it must be later than hearts_start_s of {}, and hearts_l_20c ({}) above 0",
        truth.end_of_hearts_s, truth.hearts_start_s, truth.hearts_l_20c
    )))
}
