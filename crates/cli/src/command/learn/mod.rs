//! `middlecut learn`: what runs of one still taught about it, kept in the record or in a file.

mod file;
mod keep;
mod known;
mod text;

use estimate::{Character, Settings};
use store::folder::RunFolder;

use super::earlier;
use super::progress::Progress;
use crate::args::LearnArgs;
use crate::error::CliError;
use crate::print;
use keep::Keeper;
use known::{Known, Taught};

/// Reads all folders, learns from them in order, keeps what was learned, prints it.
pub(crate) fn run(args: &LearnArgs, json: bool) -> Result<(), CliError> {
    let runs = earlier::read(&args.folders)?;
    let Some(first) = runs.first() else { return Ok(()) };
    let still = first.plan.still.name.as_str();
    let mut keeper = Keeper::open(args, &runs)?;
    let before = keeper.before(still)?;
    let (taught, counted_before) = teach(args, &runs, &before)?;
    let known = taught.last().map_or(&before, |last| &last.character);
    keeper.keep(still, &taught, known)?;
    let known = Known {
        still,
        runs: known.runs(),
        character: known,
        taught: &taught,
        counted_before: &counted_before,
        kept_in: &keeper.place(),
    };
    if json {
        print::json(&known)?;
    } else {
        print::text(&text::write(&known))?;
    }
    Ok(())
}

/// Learns from every run that does not count yet; gives the lessons and the folders of the others.
fn teach(
    args: &LearnArgs,
    runs: &[RunFolder],
    before: &Character,
) -> Result<(Vec<Taught>, Vec<String>), CliError> {
    let settings = Settings { seed: args.seed, ..Settings::default() };
    let (mut taught, mut counted): (Vec<Taught>, Vec<String>) = (Vec::new(), Vec::new());
    let progress = Progress::of_things(runs.len());
    for (folder, dir) in runs.iter().zip(&args.folders) {
        let (plan, run) = (&folder.plan, dir.display().to_string());
        progress.doing(run.clone());
        let known = taught.last().map_or(before, |last| &last.character);
        if known.history.iter().any(|one| one.title == plan.title && one.start == plan.start) {
            counted.push(run);
            progress.one_done();
            continue;
        }
        let lesson = advise::learn(plan, &folder.rows, known, settings)?;
        taught.push(Taught {
            run,
            title: plan.title.clone(),
            start: plan.start.clone(),
            balance: lesson.balance,
            character: lesson.character,
        });
        progress.one_done();
    }
    Ok((taught, counted))
}
