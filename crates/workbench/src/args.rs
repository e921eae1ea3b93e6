//! What can be typed, with an example in its help.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

/// Scores forecasts against recordings whose outcome is known. No part of the product.
#[derive(Debug, Parser)]
#[command(name = "workbench", version)]
pub(crate) struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,

    /// One JSON object on standard output instead of text.
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

/// One command.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Hold the alarms of recordings, and of rehearsals of drawn plans, against what was the matter.
    Alarms(AlarmsArgs),
    /// Forecast every recording below a folder and score the forecasts.
    Benchmark(BenchmarkArgs),
    /// Learn from recordings with outcome, and write what the estimate takes from them.
    Calibrate(CalibrateArgs),
    /// Draw columns with a thermometer in the packing, and score forecasts with it and without.
    Column(ColumnArgs),
    /// Write simulated recordings whose outcome is known, by a simulator apart from the product.
    Draw(DrawArgs),
    /// Watch recordings, and rehearsals of their plans, second by second for rules that must hold.
    Invariants(InvariantsArgs),
    /// Forecast every wash below a folder at the moments of its outcome and score what was said.
    Washes(WashesArgs),
}

/// Options of `workbench alarms`.
#[derive(Debug, Args)]
pub(crate) struct AlarmsArgs {
    /// Folder below which the run folders lie.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// How many drawn plans are rehearsed.
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u32).range(0..=999))]
    pub(crate) rehearsals: u32,
    /// Seed of the drawn plans and their rehearsals.
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Write the table into this file too.
    #[arg(long, value_name = "FILE.md")]
    pub(crate) into: Option<PathBuf>,
}

/// Options of `workbench draw`.
#[derive(Debug, Args)]
#[command(after_help = "\
Writes run folders 001, 002 and so on with outcome.json, for `workbench benchmark`. Of four runs two
are of a column by wash, one of a column by low wines, one of a pot. Still, charge, weather, faults
and the owner's errors are drawn from the seed: the same seed gives the same files. A run that no
owner could have (more drawn than condenses, hearts of under half an hour, a column that never gets
strong) is drawn again, and it is said how often and why.

Example: eighty stills out of the usual, forecast and scored
  workbench draw stress --count 80 --seed 1 --stress
  workbench benchmark stress
")]
pub(crate) struct DrawArgs {
    /// Folder below which the run folders are written; each must be new or empty.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// How many runs.
    #[arg(long, value_name = "N", default_value_t = 40, value_parser = clap::value_parser!(u32).range(1..=999))]
    pub(crate) count: u32,
    /// Seed of everything that is drawn.
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Stills, charges and places out of the usual: 4 to 25 stages of 10 to 200 L, wash from 6 % vol,
    /// feints up to 45, 600 to 900 hPa.
    #[arg(long)]
    pub(crate) stress: bool,
}

/// Options of `workbench column`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: forty columns of each kind
  workbench column --count 40 --seed 1
")]
pub(crate) struct ColumnArgs {
    /// How many columns of usual stills, and as many of stills out of the usual.
    #[arg(long, value_name = "N", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..=499))]
    pub(crate) count: u32,
    /// Seed of everything that is drawn.
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Write the tables into this file instead of standard output.
    #[arg(long, value_name = "FILE.md")]
    pub(crate) into: Option<PathBuf>,
}

/// Options of `workbench calibrate`.
#[derive(Debug, Args)]
pub(crate) struct CalibrateArgs {
    /// Folders below which the run folders lie.
    #[arg(value_name = "FOLDER", required = true)]
    pub(crate) folders: Vec<PathBuf>,
    /// The file to write.
    #[arg(long, value_name = "FILE.rs")]
    pub(crate) into: PathBuf,
}

/// Options of `workbench invariants`.
#[derive(Debug, Args)]
pub(crate) struct InvariantsArgs {
    /// Folder below which the run folders lie.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// Rehearse the plans instead of playing what was recorded.
    #[arg(long)]
    pub(crate) rehearse: bool,
    /// With an estimate a minute: ten times slower.
    #[arg(long)]
    pub(crate) forecasts: bool,
    /// Seed of the rehearsals.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
}

/// Options of `workbench washes`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: score a collection of washes
  workbench washes washes
")]
pub(crate) struct WashesArgs {
    /// Folder of wash folders, each with its outcome.json.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// Write the tables into this file instead of standard output.
    #[arg(long, value_name = "FILE.md")]
    pub(crate) into: Option<PathBuf>,
}

/// Options of `workbench benchmark`.
#[derive(Debug, Args)]
#[command(after_help = "\
All run folders below FOLDER are forecast at 5, 25, 50, 75 and 90 % of their hearts, from what was
recorded by then, and scored against their outcome.json. Numbered sub-folders of one folder that
state the same kind and size of still are a series: each run is forecast with what the runs before
it taught.

Example: score a collection, keep the forecasts
  workbench benchmark recordings --csv forecasts.csv
")]
pub(crate) struct BenchmarkArgs {
    /// Folder below which the run folders lie.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// Moments instead of the shares of the hearts: columns `run`, `at_fraction`, `made_at_s`.
    #[arg(long, value_name = "MOMENTS.csv")]
    pub(crate) at: Option<PathBuf>,
    /// Write the forecasts into this file.
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Let measurements move nothing: forecasts from what was believed before heat, for comparison.
    #[arg(long)]
    pub(crate) no_update: bool,
    /// Take every run of a series for the first of its still, for comparison.
    #[arg(long)]
    pub(crate) no_learning: bool,
    /// Write a page with all tables and drawings into this folder.
    #[arg(long, value_name = "DOCS_FOLDER")]
    pub(crate) report: Option<PathBuf>,
    /// Forecasts to be compared with; may be given several times. A file named `no_update` or
    /// `no_learning` is held to the bounds for such, any other to those for a plain balance.
    #[arg(long, value_name = "FORECASTS.csv")]
    pub(crate) baseline: Vec<PathBuf>,
    /// Score the forecasts of this file instead of making them.
    #[arg(long, value_name = "FORECASTS.csv", conflicts_with_all = ["at", "csv", "no_update", "no_learning"])]
    pub(crate) score_only: Option<PathBuf>,
    /// Also play each column through the live engine, as attended, and score when it said that the
    /// end of hearts is near. Takes an outcome.json, and 5 to 20 s a run on one core.
    #[arg(long)]
    pub(crate) replay: bool,
    /// Seed of the draws behind the bands, and of the comparison's resampling.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = 1)]
    pub(crate) seed: u64,
    /// How many runs are worked on at a time; all cores where not given.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(crate) jobs: Option<usize>,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Cli;

    #[test]
    fn the_command_line_is_well_formed() {
        Cli::command().debug_assert();
    }
}
