//! Options of `middlecut instruments`: what reads a channel of a still, and how it was calibrated.

use std::path::PathBuf;

use alcoholometry::typed::Typed;
use clap::{ArgGroup, Args, Subcommand};

use super::{celsius_kept, hectopascals_kept, number};

/// Options of `middlecut instruments`.
#[derive(Debug, Args)]
#[command(after_help = "\
A calibration is in force from when it is recorded on. While the program serves, its API takes the
same (PUT and POST /api/stills/{name}/instruments).

Example: a thermometer in melting ice, then in steam at 993.5 hPa
  middlecut instruments state \"Shed column\" head_c --name \"long probe\" --step 0.0625
  middlecut instruments calibrate \"Shed column\" head_c --ice 0.3 --steam 99.6 --pressure 993.5 --due 2027-11-30
  middlecut instruments list \"Shed column\"
")]
pub(crate) struct InstrumentsArgs {
    /// What to do.
    #[command(subcommand)]
    pub(crate) what: InstrumentsCommand,
}

/// What to do with them.
#[derive(Debug, Subcommand)]
pub(crate) enum InstrumentsCommand {
    /// The instruments of a still, their calibrations, what is due, what runs learned.
    List(InstrumentsListArgs),
    /// Say which instrument reads a channel.
    State(InstrumentStateArgs),
    /// Record a calibration of the instrument of a channel.
    Calibrate(InstrumentCalibrateArgs),
}

/// Which still.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut instruments list \"Shed column\"\n")]
pub(crate) struct InstrumentsListArgs {
    /// Name of the still, as its plans have it; those of every still where not given.
    pub(crate) still: Option<String>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// An instrument.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut instruments state \"Shed column\" head_c --name \"long probe\"\n"
)]
pub(crate) struct InstrumentStateArgs {
    /// Name of the still, as its plans have it.
    pub(crate) still: String,
    /// Column of the readings, as `head_c`.
    pub(crate) channel: String,
    /// What it is called.
    #[arg(long)]
    pub(crate) name: String,
    /// The least step it shows, in the channel's unit.
    #[arg(long, value_name = "X", value_parser = number, allow_hyphen_values = true)]
    pub(crate) step: Option<f64>,
    /// How far it can be off as its maker says, in the channel's unit.
    #[arg(long, value_name = "X", value_parser = number, allow_hyphen_values = true)]
    pub(crate) doubt: Option<f64>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// A calibration.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("points").required(true).multiple(true).args(["ice", "steam", "shown"]))]
#[command(group = ArgGroup::new("against").args(["truth", "too_high"]))]
#[command(after_help = "\
Numbers may have a unit behind them, as 32.5F, 29.3inHg; the record keeps it. --too-high is a difference,
in the channel's own unit.

Examples: against ice and steam; against another thermometer; what runs learned, once it was looked at
  middlecut instruments calibrate \"Shed column\" head_c --ice 0.3 --steam 99.6 --pressure 993.5
  middlecut instruments calibrate \"Shed column\" pot_c --shown 78.9 --truth 78.4 --due 2027-11-30
  middlecut instruments calibrate \"Shed column\" head_c --shown 78.3 --too-high 0.4
")]
pub(crate) struct InstrumentCalibrateArgs {
    /// Name of the still, as its plans have it.
    pub(crate) still: String,
    /// Column of the readings, as `head_c`.
    pub(crate) channel: String,
    /// What it shows in melting ice.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true)]
    pub(crate) ice: Option<Typed>,
    /// What it shows in the steam over boiling water.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true, requires = "pressure")]
    pub(crate) steam: Option<Typed>,
    /// The pressure of the place then, not reduced to sea level, hPa.
    #[arg(long, value_name = "HPA", value_parser = hectopascals_kept, allow_hyphen_values = true)]
    pub(crate) pressure: Option<Typed>,
    /// What it shows beside a reference, or where runs learned its offset.
    #[arg(long, value_name = "X", allow_hyphen_values = true, requires = "against")]
    pub(crate) shown: Option<String>,
    /// What the reference shows.
    #[arg(long, value_name = "X", allow_hyphen_values = true, requires = "shown")]
    pub(crate) truth: Option<String>,
    /// What runs learned that it shows too much.
    #[arg(long, value_name = "X", value_parser = number, allow_hyphen_values = true, requires = "shown")]
    pub(crate) too_high: Option<f64>,
    /// When it is due again, a date.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) due: Option<String>,
    /// Who did it.
    #[arg(long)]
    pub(crate) by: Option<String>,
    /// A remark.
    #[arg(long, default_value = "")]
    pub(crate) note: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
