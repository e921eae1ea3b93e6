//! What can be typed: the commands, their options and the example each shows in its help.

mod access;
mod account;
mod alarms;
mod bench;
mod calibrate;
mod doctor;
mod entering;
mod feeds;
mod ferment;
mod finish;
mod instruments;
mod jars;
mod known;
mod man;
mod measure;
mod mix;
mod record;
mod run;
mod still;
mod upkeep;
mod washes;

use alcoholometry::typed::{Typed, VOL};
use clap::{Parser, Subcommand};

pub(crate) use access::{AccessArgs, AccessCommand, CodeArgs, DeviceArgs, ListArgs, RevokeArgs};
pub(crate) use account::{
    BalanceArgs, BookArgs, BookCommand, ByArgs, EnterArgs, LotsArgs, ProfileName, RunIntoBookArgs,
    StockTakeArgs,
};
pub(crate) use alarms::{AlarmsArgs, AlarmsCommand, AlarmsReviewArgs, AlarmsTestArgs};
pub(crate) use bench::{GaugeArgs, LiquidArgs, Scale, SugarKind, WashArgs};
pub(crate) use calibrate::{CalibrateArgs, StatedArgs};
pub(crate) use doctor::DoctorArgs;
pub(crate) use entering::{BookedArgs, PlacesArgs};
pub(crate) use feeds::{FeedsArgs, FeedsCheckArgs, FeedsCommand};
pub(crate) use ferment::FermentArgs;
pub(crate) use finish::{BottleArgs, CarbonArgs, CaskArgs, MacerateArgs};
pub(crate) use instruments::{
    InstrumentCalibrateArgs, InstrumentStateArgs, InstrumentsArgs, InstrumentsCommand,
};
pub(crate) use jars::JarsArgs;
pub(crate) use known::{EstimateArgs, LearnArgs};
pub(crate) use man::ManArgs;
pub(crate) use measure::{MeasureArgs, Outside};
pub(crate) use mix::{Amount, BlendArgs, ReduceArgs};
pub(crate) use record::{
    AcceptLossArgs, BackupArgs, ExportArgs, ImportArgs, PrintArgs, RestoreArgs, VerifyArgs,
};
pub(crate) use run::{ForecastArgs, PORT_DEFAULT, RehearseArgs, ReplayArgs, ServeArgs};
pub(crate) use still::{Heat, Kind, Metal, Place, StillArgs, Wall};
pub(crate) use upkeep::{BeforeHeatArgs, Kind as UpkeepWord, UpkeepArgs, UpkeepCommand, UpkeepOf};
pub(crate) use washes::{
    WashActArgs, WashByArgs, WashChargeArgs, WashImportArgs, WashNotesArgs, WashOpenArgs,
    WashPourArgs, WashReadArgs, WashRecipeArgs, WashStrikeArgs, WashesArgs, WashesCommand,
};

/// Plans, forecasts and attends a run of a small batch still, gauges the spirit, keeps the record.
///
/// Advisory only: it drives nothing, and it is no safeguard.
#[derive(Debug, Parser)]
#[command(
    name = "middlecut",
    version,
    after_help = "\
Without a command, middlecut serves its page on this machine.

Example:
  middlecut reduce --litres 2 --from 92 --to 42

Numbers have a decimal point or comma. At the bench, and where a still is measured, temperatures,
volumes, weights and pressures may have a unit behind them: 68F, \"5 US gal\", 10lb, 29.9inHg.

Exit code: 0 done, 1 the work failed, 2 the input was refused. Data go to standard output, messages
to standard error; with --json a refusal is one object there, {\"error\": {message, field, value,
bound, file, line, column, hint}}, without what is not known.
"
)]
pub(crate) struct Cli {
    /// What to do; `serve` where nothing is said.
    #[command(subcommand)]
    pub(crate) command: Option<Command>,

    /// One JSON object on standard output instead of text.
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

/// One command.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Everything about an ethanol-water liquid.
    Liquid(LiquidArgs),
    /// True strength from the reading of a glass hydrometer.
    Gauge(GaugeArgs),
    /// Water to add to bring a spirit down to a strength.
    Reduce(ReduceArgs),
    /// What a blend of several parts comes to.
    Blend(BlendArgs),
    /// The jars of a run: what each holds, where the cuts fall, what one jar more would change.
    Jars(JarsArgs),
    /// Carbon for a spirit: how much, for how long, and what it keeps.
    Carbon(CarbonArgs),
    /// What macerated solids soak up, and what sugar hides from the glass.
    Macerate(MacerateArgs),
    /// A cask in years to come: how full, how strong, and what the angels take.
    Cask(CaskArgs),
    /// Bottles: whether a lot is what its label says, what to fill, how many there are.
    Bottle(BottleArgs),
    /// What a wash should give.
    Wash(WashArgs),
    /// What a wash is doing and will become, from its recipe and log.
    Ferment(FermentArgs),
    /// Washes in the record: opened, read, put right, forecast, charged.
    Washes(Box<WashesArgs>),
    /// The whole of a new still from what can be measured at it.
    Still(StillArgs),
    /// Simulate the plan of a run file.
    Forecast(ForecastArgs),
    /// Play a recorded run through the live engine.
    Replay(ReplayArgs),
    /// Run a simulated still, with probe noise, through the live engine.
    Rehearse(RehearseArgs),
    /// What was known about a run at one moment of it.
    Estimate(EstimateArgs),
    /// Learn from runs of a still that are over.
    Learn(LearnArgs),
    /// Fit the losses, efficiency and hold-up of a still to two or more of its runs together.
    Calibrate(CalibrateArgs),
    /// Record residue, feints or a sample of a run that is over, for the balance of its alcohol.
    Measure(MeasureArgs),
    /// Serve the page on this machine (what happens without a command), or in the local network.
    Serve(ServeArgs),
    /// Who may come in from other machines: codes for phones, tokens for devices.
    Access(AccessArgs),
    /// The probes that the program reads by itself, named in feeds.toml.
    Feeds(FeedsArgs),
    /// What reads each channel of a still: its instruments and their calibrations.
    Instruments(InstrumentsArgs),
    /// Cleaning, maintenance and calibration: what was done, and what is due.
    Upkeep(UpkeepArgs),
    /// What is to be looked at before heat, for this plan and still.
    BeforeHeat(BeforeHeatArgs),
    /// The alarms: how they are heard, and what they were in a run.
    Alarms(AlarmsArgs),
    /// Say what is missing on this machine: rights, the disk, the clock, probes, the broker.
    Doctor(DoctorArgs),
    /// Write a run of the record as a run folder.
    Export(ExportArgs),
    /// The sheet of a run to print, one page of A4: before heat to be filled in, afterwards filled.
    Print(PrintArgs),
    /// Take a run folder into the record.
    Import(ImportArgs),
    /// Copy the whole record into one file while it is in use.
    Backup(BackupArgs),
    /// Put a backup in the place of the record; what was there is kept beside it.
    Restore(RestoreArgs),
    /// Say that entries the record lost are known to be lost, so that it verifies again.
    AcceptLoss(AcceptLossArgs),
    /// Check the record's chain from the first entry to the last.
    Verify(VerifyArgs),
    /// The balance of pure alcohol from sugar to bottle, every loss by its name.
    Balance(BalanceArgs),
    /// What stands where, and a lot followed both ways.
    Lots(LotsArgs),
    /// Enter an act into the account of pure alcohol.
    Enter(Box<EnterArgs>),
    /// Enter a count: what is less or more than in the book is explained, or not.
    StockTake(StockTakeArgs),
    /// The book of the account: listed, looked through, exported, checked, taken in, closed.
    Book(BookArgs),
    /// Print the completion script of a shell.
    #[command(
        after_help = "Example:\n  middlecut completions bash > ~/.local/share/bash-completion/completions/middlecut\n"
    )]
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page of the program, or of a command.
    Man(ManArgs),
    /// Print the server's API document.
    #[command(hide = true)]
    Openapi,
}

/// A number a person types: point or comma.
pub(super) fn number(text: &str) -> Result<f64, quantities::ParseNumber> {
    quantities::parse_typed(text)
}

/// A number in °C, or with its unit behind it: `68F`.
pub(super) fn celsius(text: &str) -> Result<f64, quantities::ParseNumber> {
    quantities::parse_typed_in(text, "°C")
}

/// A volume in L, or with its unit behind it: `5 US gal`.
pub(super) fn litres(text: &str) -> Result<f64, quantities::ParseNumber> {
    quantities::parse_typed_in(text, "L")
}

/// A mass in kg, or with its unit behind it: `10 lb`.
pub(super) fn kilograms(text: &str) -> Result<f64, quantities::ParseNumber> {
    quantities::parse_typed_in(text, "kg")
}

/// A pressure of the place in hPa, or with its unit behind it: `29.9inHg`.
pub(super) fn hectopascals(text: &str) -> Result<f64, quantities::ParseNumber> {
    quantities::parse_typed_in(text, "hPa")
}

/// As [`celsius`], for the record, which keeps what was typed.
pub(super) fn celsius_kept(text: &str) -> Result<Typed, quantities::ParseNumber> {
    Typed::read(text, "°C")
}

/// As [`litres`], for the record, which keeps what was typed.
pub(super) fn litres_kept(text: &str) -> Result<Typed, quantities::ParseNumber> {
    Typed::read(text, "L")
}

/// As [`kilograms`], for the record, which keeps what was typed.
pub(super) fn kilograms_kept(text: &str) -> Result<Typed, quantities::ParseNumber> {
    Typed::read(text, "kg")
}

/// As [`hectopascals`], for the record, which keeps what was typed.
pub(super) fn hectopascals_kept(text: &str) -> Result<Typed, quantities::ParseNumber> {
    Typed::read(text, "hPa")
}

/// A strength in % vol at 20 °C, or US proof with the word behind it, for the record, which keeps
/// what was typed.
pub(super) fn strength_kept(text: &str) -> Result<Typed, quantities::ParseNumber> {
    Typed::read(text, VOL)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Cli;

    #[test]
    fn the_command_line_is_well_formed() {
        Cli::command().debug_assert();
    }

    #[test]
    fn every_command_shows_a_worked_example() {
        for command in Cli::command().get_subcommands().filter(|command| !command.is_hide_set()) {
            let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            let line = format!("middlecut {}", command.get_name());
            assert!(help.contains(&line), "{line}: no example in its help");
        }
    }
}
