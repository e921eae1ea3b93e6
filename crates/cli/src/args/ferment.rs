//! Options of `middlecut ferment`: a wash, a moment, or many washes at many moments.

use std::path::PathBuf;

use clap::Args;

/// Options of `middlecut ferment`.
#[derive(Debug, Args)]
#[command(after_help = "\
A wash is a folder: wash.toml (the recipe), readings.csv, and perhaps float.csv and actions.csv, times
in hours from pitching the yeast. Nothing after --at is read. --at 0 forecasts the recipe alone.

Examples:
  middlecut ferment my-wash --at 72
  middlecut ferment --benchmark washes --at moments.csv --csv forecasts.csv
")]
pub(crate) struct FermentArgs {
    /// Folder of the wash.
    #[arg(value_name = "FOLDER", required_unless_present = "benchmark")]
    pub(crate) folder: Option<PathBuf>,
    /// The moment, hours from pitching; with --benchmark a list: `run,moment,at_h,asked`.
    #[arg(long, value_name = "HOURS", allow_hyphen_values = true)]
    pub(crate) at: String,
    /// Forecast every wash below this folder at the moments of a list; outcomes are not opened.
    #[arg(long, value_name = "FOLDER", conflicts_with = "folder", requires = "csv")]
    pub(crate) benchmark: Option<PathBuf>,
    /// Where the forecasts of --benchmark go.
    #[arg(long, value_name = "FILE", requires = "benchmark")]
    pub(crate) csv: Option<PathBuf>,
}
