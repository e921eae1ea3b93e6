//! `middlecut rehearse`: a simulated still and a stand-in attendant, through the live engine.

use sense::RecordedRun;
use still::plan::RunPlan;
use store::folder::{self, Origin, RunFolder};

use super::live::{Listener, options, speed};
use super::progress::Progress;
use crate::args::RehearseArgs;
use crate::error::CliError;

/// Rehearses the plan to its end.
pub(crate) fn run(args: &RehearseArgs, json: bool) -> Result<(), CliError> {
    let speed = speed(args.speed)?;
    let mut plan = folder::read_plan(&args.run)?;
    if let Some(typed) = &args.charge {
        charge(&mut plan, typed)?;
    }
    if let Some(dir) = &args.out {
        folder::must_be_free(dir)?;
    }
    let progress = Progress::of_run(None);
    let mut listener = Listener::new(speed, json, &progress);
    let how = rehearse::Attended {
        seed: args.seed,
        manner: rehearse::Manner::Careful,
        options: options(args.forecasts),
        scale: args.scale,
    };
    let mut kept = args.out.is_some().then(RecordedRun::default);
    let end =
        rehearse::rehearse_how(&plan, &how, &mut |event, _| listener.hear(event), &mut |rows| {
            progress.at_time(rows.last_s());
            if let Some(kept) = &mut kept {
                kept.append(rows.clone());
            }
        })?;
    if let (Some(rows), Some(dir)) = (kept, &args.out) {
        let mut run = RunFolder::new(plan, rows);
        let (digest, seed) = (folder::digest(&run)?, Some(args.seed));
        run.origin = Some(Origin { run: None, rehearsed: Some(true), seed, digest });
        folder::write(dir, &run)?;
    }
    listener.finish(&end)
}

/// Puts another charge into a plan.
fn charge(plan: &mut RunPlan, typed: &str) -> Result<(), CliError> {
    let found = typed.split_once('@').and_then(|(litres, vol)| {
        let number = |text| quantities::parse_typed(text).ok();
        Some((number(litres)?, number(vol)?))
    });
    let (litres, strength_vol) = found.ok_or_else(|| CliError::Typed {
        option: "--charge",
        value: typed.to_owned(),
        bound: "must be litres at 20 °C and their strength in % vol",
        hint: "as 24.5@11.3".to_owned(),
    })?;
    plan.charge.litres = litres;
    plan.charge.strength_vol = strength_vol;
    // What was said of the feints in it was said of another charge.
    plan.charge.feints = None;
    Ok(())
}
