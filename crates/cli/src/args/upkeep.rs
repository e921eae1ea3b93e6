//! Options of `middlecut upkeep` and `middlecut before-heat`.

use std::path::PathBuf;

use clap::{ArgGroup, Args, Subcommand, ValueEnum};

/// Options of `middlecut upkeep`.
#[derive(Debug, Args)]
#[command(after_help = "\
Something is due again after so many days, so many real runs of the still, or whichever comes first. A
calibration is called as its instrument is: then every gauge made with it is marked once it is overdue.

Examples: the condenser each 90 days or 10 runs; a gauge glass each year; both done; what is due
  middlecut upkeep state \"Shed column\" --name \"descale the condenser\" --kind cleaning --days 90 --runs 10
  middlecut upkeep state \"Shed column\" --name \"glass 3\" --kind calibration --days 365
  middlecut upkeep done \"Shed column\" --name \"glass 3\" --with \"certified glass 81\" --found \"0.1 low at 40\" --by Wren
  middlecut upkeep list \"Shed column\"
")]
pub(crate) struct UpkeepArgs {
    /// What to do.
    #[command(subcommand)]
    pub(crate) what: UpkeepCommand,
}

/// What to do with it.
#[derive(Debug, Subcommand)]
pub(crate) enum UpkeepCommand {
    /// What is kept up at a still, when it was done, what is due.
    List(UpkeepOf),
    /// Say what is to be done again and again.
    State(UpkeepStateArgs),
    /// Keep that it was done.
    Done(UpkeepDoneArgs),
    /// Keep it up no more; what was kept stays.
    Drop(UpkeepDropArgs),
}

/// Which still.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut upkeep list \"Shed column\"\n")]
pub(crate) struct UpkeepOf {
    /// Name of the still, as its plans have it.
    pub(crate) still: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// What kind it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    /// Still, jars, lines.
    Cleaning,
    /// Gaskets, hoses, relief, elements, extinguisher.
    Maintenance,
    /// An instrument held against something true.
    Calibration,
}

/// Something to keep up.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("again").required(true).multiple(true).args(["days", "runs"]))]
#[command(
    after_help = "Example:\n  middlecut upkeep state \"Shed column\" --name \"relief lifts\" --kind maintenance --runs 1\n"
)]
pub(crate) struct UpkeepStateArgs {
    #[command(flatten)]
    pub(crate) of: UpkeepOf,
    /// What is done; of a calibration, what the instrument is called.
    #[arg(long, value_name = "WORDS")]
    pub(crate) name: String,
    /// What kind it is.
    #[arg(long, value_enum)]
    pub(crate) kind: Kind,
    /// Due again after so many days.
    #[arg(long, value_name = "N")]
    pub(crate) days: Option<u32>,
    /// Due again after so many real runs.
    #[arg(long, value_name = "N")]
    pub(crate) runs: Option<u32>,
}

/// It was done.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut upkeep done \"Shed column\" --name \"relief lifts\" --by Wren\n"
)]
pub(crate) struct UpkeepDoneArgs {
    #[command(flatten)]
    pub(crate) of: UpkeepOf,
    /// What was done.
    #[arg(long, value_name = "WORDS")]
    pub(crate) name: String,
    /// When, as 2026-10-03T14:20:00+02:00; now where not given.
    #[arg(long, value_name = "TIME")]
    pub(crate) at: Option<String>,
    /// With what: agent and strength, part, reference.
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub(crate) with: String,
    /// What was found, as the error of an instrument.
    #[arg(long, value_name = "WORDS", default_value = "")]
    pub(crate) found: String,
    /// It is not as it should be: it stays due.
    #[arg(long)]
    pub(crate) bad: bool,
    /// Who did it.
    #[arg(long, value_name = "NAME")]
    pub(crate) by: Option<String>,
}

/// What is kept up no more.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut upkeep drop \"Shed column\" --name \"relief lifts\"\n"
)]
pub(crate) struct UpkeepDropArgs {
    #[command(flatten)]
    pub(crate) of: UpkeepOf,
    /// What.
    #[arg(long, value_name = "WORDS")]
    pub(crate) name: String,
}

/// Options of `middlecut before-heat`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: what is to be looked at before this run, with what is overdue at its still\n  middlecut before-heat run.toml\n"
)]
pub(crate) struct BeforeHeatArgs {
    /// The run file.
    #[arg(value_name = "RUN.toml")]
    pub(crate) run: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
