//! `middlecut rehearse`: a simulated still and a stand-in attendant, through the live engine.

use super::live::{Listener, options, speed};
use super::progress::Progress;
use crate::args::RehearseArgs;
use crate::error::CliError;

/// Rehearses the plan to its end.
pub(crate) fn run(args: &RehearseArgs, json: bool) -> Result<(), CliError> {
    let speed = speed(args.speed)?;
    let plan = store::folder::read_plan(&args.run)?;
    let progress = Progress::of_run(None);
    let mut listener = Listener::new(speed, json, &progress);
    let how = rehearse::Attended {
        seed: args.seed,
        manner: rehearse::Manner::Careful,
        options: options(args.forecasts),
        scale: args.scale,
    };
    let end =
        rehearse::rehearse_how(&plan, &how, &mut |event, _| listener.hear(event), &mut |rows| {
            progress.at_time(rows.last_s());
        })?;
    listener.finish(&end)
}
