//! `middlecut replay`: plays a recorded run through the live engine.

use super::live::Listener;
use crate::args::ReplayArgs;
use crate::error::CliError;

/// Reads the folder, plays it, prints what the page would have said.
pub(crate) fn run(args: &ReplayArgs, json: bool) -> Result<(), CliError> {
    let mut listener = Listener::new(args.speed, json)?;
    let folder = store::folder::read(&args.folder)?;
    let end = advise::replay(&folder.plan, &folder.rows, &mut |event, _| listener.hear(event))?;
    listener.finish(&end)
}
