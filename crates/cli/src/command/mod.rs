//! One file a command: each takes its arguments, calls the crate that knows, prints.

mod access;
mod account;
mod alarms;
mod before_heat;
mod blend;
mod bottle;
mod calibrate;
mod carbon;
mod cask;
mod completions;
mod data;
mod doctor;
mod earlier;
mod entering;
mod estimate;
mod feeds;
mod ferment;
mod files;
mod forecast;
mod gauge;
mod instruments;
mod jars;
mod kept;
mod learn;
mod liquid;
mod live;
mod macerate;
mod man;
mod measure;
mod mend;
mod openapi;
mod progress;
mod record;
mod reduce;
mod rehearse;
mod replay;
mod serve;
mod spirit;
mod stated;
mod still;
mod upkeep;
mod wash;
mod washes;

use crate::args::{Cli, Command};
use crate::error::CliError;

/// Runs the chosen command; `serve` where none was chosen.
pub(crate) fn run(cli: &Cli) -> Result<(), CliError> {
    let json = cli.json;
    match &cli.command {
        Some(Command::Liquid(args)) => liquid::run(args, json),
        Some(Command::Gauge(args)) => gauge::run(args, json),
        Some(Command::Reduce(args)) => reduce::run(args, json),
        Some(Command::Blend(args)) => blend::run(args, json),
        Some(Command::Jars(args)) => jars::run(args, json),
        Some(Command::Carbon(args)) => carbon::run(args, json),
        Some(Command::Macerate(args)) => macerate::run(args, json),
        Some(Command::Cask(args)) => cask::run(args, json),
        Some(Command::Bottle(args)) => bottle::run(args, json),
        Some(Command::Wash(args)) => wash::run(args, json),
        Some(Command::Ferment(args)) => ferment::run(args, json),
        Some(Command::Washes(args)) => washes::run(args, json),
        Some(Command::Still(args)) => still::run(args, json),
        Some(Command::Forecast(args)) => forecast::run(args, json),
        Some(Command::Replay(args)) => replay::run(args, json),
        Some(Command::Rehearse(args)) => rehearse::run(args, json),
        Some(Command::Estimate(args)) => estimate::run(args, json),
        Some(Command::Learn(args)) => learn::run(args, json),
        Some(Command::Calibrate(args)) => calibrate::run(args, json),
        Some(Command::Measure(args)) => measure::run(args, json),
        Some(Command::Serve(args)) => serve::run(args, json),
        Some(Command::Access(args)) => access::run(args, json),
        Some(Command::Feeds(args)) => feeds::run(args, json),
        Some(Command::Instruments(args)) => instruments::run(args, json),
        Some(Command::Upkeep(args)) => upkeep::run(args, json),
        Some(Command::BeforeHeat(args)) => before_heat::run(args, json),
        Some(Command::Alarms(args)) => alarms::run(args, json),
        Some(Command::Doctor(args)) => doctor::run(args, json),
        Some(Command::Export(args)) => record::export(args, json),
        Some(Command::Print(args)) => record::print_sheet(args, json),
        Some(Command::Import(args)) => record::import(args, json),
        Some(Command::Backup(args)) => record::backup(args, json),
        Some(Command::Restore(args)) => mend::restore(args, json),
        Some(Command::AcceptLoss(args)) => mend::accept_loss(args, json),
        Some(Command::Verify(args)) => record::verify(args, json),
        Some(Command::Balance(args)) => account::balance(args, json),
        Some(Command::Lots(args)) => account::lots(args, json),
        Some(Command::Enter(args)) => account::enter(args, json),
        Some(Command::StockTake(args)) => account::stock_take(args, json),
        Some(Command::Book(args)) => account::book(args, json),
        Some(Command::Completions { shell }) => completions::run(*shell),
        Some(Command::Man(args)) => man::run(args),
        Some(Command::Openapi) => openapi::run(),
        None => serve::run_default(json),
    }
}
