//! `workbench washes`: forecasts every wash below a folder at its moments and scores what was said.

use std::path::{Path, PathBuf};
use std::time::Instant;

use rayon::prelude::*;
use store::folder::read_wash;
use workbench::washes::{Moment, Said, WashTruth, page};

use crate::args::WashesArgs;
use crate::benchmark::out;
use crate::error::BenchError;

const OUTCOME: &str = "outcome.json";

/// One thing to forecast.
struct Asked {
    dir: PathBuf,
    kind: String,
    moment: Moment,
}

/// Forecasts them on all cores; prints the tables, or writes them.
pub(crate) fn run(args: &WashesArgs) -> Result<(), BenchError> {
    let asked = find(&args.folder)?;
    let said = asked.par_iter().map(forecast).collect::<Result<Vec<Said>, BenchError>>()?;
    let text = page(&said);
    match &args.into {
        Some(path) => out::write_file("--into", path, &text),
        None => Ok(out::print(&text)?),
    }
}

/// The moments of every wash whose outcome is there, in the order of their names.
fn find(folder: &Path) -> Result<Vec<Asked>, BenchError> {
    let mut dirs: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(|why| unfit(folder, why.to_string()))?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|dir| dir.join(OUTCOME).is_file())
        .collect();
    dirs.sort();
    let mut asked = Vec::new();
    for dir in dirs {
        let file = dir.join(OUTCOME);
        let text = std::fs::read_to_string(&file).map_err(|why| unfit(&file, why.to_string()))?;
        let truth: WashTruth =
            serde_json::from_str(&text).map_err(|why| unfit(&file, why.to_string()))?;
        let kind = truth.kind;
        let moments = truth.moments.into_iter().filter(Moment::asked);
        asked.extend(moments.map(|moment| Asked { dir: dir.clone(), kind: kind.clone(), moment }));
    }
    if asked.is_empty() {
        return Err(unfit(folder, "no wash with an outcome.json lies in it".to_owned()));
    }
    Ok(asked)
}

fn forecast(asked: &Asked) -> Result<Said, BenchError> {
    let Asked { dir, kind, moment } = asked;
    let (recipe, log) = read_wash(dir, moment.at_h)?;
    let begun = Instant::now();
    let found = ferment::forecast(&recipe, &log, moment.at_h)
        .map_err(|error| unfit(dir, error.to_string()))?;
    Ok(Said {
        run: dir.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default(),
        kind: kind.clone(),
        moment: moment.clone(),
        end_h: found.end_h,
        strength_vol: found.final_strength_vol,
        state: found.state,
        chance: found.chance,
        took_ms: 1e3 * begun.elapsed().as_secs_f64(),
    })
}

fn unfit(file: &Path, what: String) -> BenchError {
    let hint = "name a folder of wash folders, each with wash.toml and outcome.json".to_owned();
    BenchError::Unfit { file: file.to_owned(), line: None, what, hint }
}
