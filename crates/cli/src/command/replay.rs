//! `middlecut replay`: plays a recorded run through the live engine.

use super::live::{Listener, options, speed};
use super::progress::Progress;
use crate::args::ReplayArgs;
use crate::error::CliError;

/// Reads the folder, plays it, prints what the page would have said.
pub(crate) fn run(args: &ReplayArgs, json: bool) -> Result<(), CliError> {
    let speed = speed(args.speed)?;
    let folder = store::folder::read(&args.folder)?;
    let progress = Progress::of_run(Some(folder.rows.last_s()));
    let mut listener = Listener::new(speed, json, &progress);
    let options = options(args.forecasts);
    let end = advise::replay_as(&folder.plan, &folder.rows, options, &mut |event, _| {
        listener.hear(event);
    })?;
    listener.finish(&end)
}
