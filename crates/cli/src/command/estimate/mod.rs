//! `middlecut estimate`: what was known about a run at one moment, from what was recorded by then.

mod estimated;
mod moment;
mod text;
mod wire;

use std::path::Path;

use estimate::{Character, Settings};
use store::StillCalibration;
use store::folder::RunFolder;

use super::earlier;
use crate::args::EstimateArgs;
use crate::error::CliError;
use crate::print;
use estimated::Estimated;

/// Reads the folder, cuts it off at the moment, estimates, prints.
pub(crate) fn run(args: &EstimateArgs, json: bool) -> Result<(), CliError> {
    // Only a share of the hearts asks for the truth.
    let mut folder = if args.at < 1.0 {
        store::folder::read(&args.folder)?
    } else {
        store::folder::read_record(&args.folder)?
    };
    let calibrated = super::stated::put_into(&mut folder.plan.still, &args.stated)?;
    let moment = moment::choose(args.at, &args.folder, &folder)?;
    let settings = Settings { seed: args.seed, update: !args.no_update, ..Settings::default() };
    let known = learned(args, &folder, calibrated.as_ref())?;
    let rows = folder.rows.until(moment.made_at_s);
    let outlook =
        estimate::estimate(&folder.plan, &rows, moment.made_at_s, known.as_ref(), settings)?;
    let run = name(&args.folder);
    let estimated = Estimated {
        run: &run,
        title: &folder.plan.title,
        moment,
        recorded_s: rows.last_s(),
        learned_runs: known.as_ref().map_or(0, Character::runs),
        outlook: &outlook,
    };
    if json {
        print::json(&wire::Wire::new(&estimated))?;
    } else {
        print::text(&text::write(&estimated, folder.plan.still.kind))?;
    }
    Ok(())
}

/// What the earlier runs taught about the still, from what its calibration lets believe; nothing
/// where neither is.
fn learned(
    args: &EstimateArgs,
    folder: &RunFolder,
    calibrated: Option<&StillCalibration>,
) -> Result<Option<Character>, CliError> {
    let mut runs = earlier::read(&args.learned)?;
    let mut known = calibrated.map(StillCalibration::character);
    for (run, dir) in runs.iter_mut().zip(&args.learned) {
        if let Some(calibrated) = calibrated {
            calibrated.put_into(&mut run.plan.still);
        }
        earlier::check_still(&folder.plan.still, &run.plan.still, dir)?;
        if earlier::is_same_run(run, folder) {
            return Err(CliError::Unfit {
                file: dir.clone(),
                line: None,
                what: format!(
                    "--learned is the run \"{}\" of {}, which is to be estimated",
                    run.plan.title, run.plan.start
                ),
                hint: "learn from earlier runs only: a run must not tell about itself".to_owned(),
            });
        }
        let before = known.unwrap_or_default();
        let settings = Settings { seed: args.seed, ..Settings::default() };
        let lesson = advise::learn(&run.plan, &run.rows, &before, settings)?;
        known = Some(lesson.character);
    }
    Ok(known)
}

/// The name of a run: that of its folder.
fn name(dir: &Path) -> String {
    let whole = dir.canonicalize();
    let dir = whole.as_deref().unwrap_or(dir);
    dir.file_name().unwrap_or(dir.as_os_str()).to_string_lossy().into_owned()
}
