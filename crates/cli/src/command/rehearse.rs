//! `middlecut rehearse`: a simulated still and a stand-in attendant, through the live engine.

use super::live::Listener;
use crate::args::RehearseArgs;
use crate::error::CliError;

/// Rehearses the plan to its end.
pub(crate) fn run(args: &RehearseArgs, json: bool) -> Result<(), CliError> {
    let mut listener = Listener::new(args.speed, json)?;
    let plan = store::folder::read_plan(&args.run)?;
    let end =
        rehearse::rehearse(&plan, args.seed, &mut |event, _| listener.hear(event), &mut |_| {})?;
    listener.finish(&end)
}
