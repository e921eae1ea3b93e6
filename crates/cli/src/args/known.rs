//! Options of the commands about what is known of runs and stills: estimate, learn.

use std::path::PathBuf;

use clap::Args;

use super::{StatedArgs, number};

/// Options of `middlecut estimate`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: what was known two hours after heater on
  middlecut estimate my-run --at 7200
")]
pub(crate) struct EstimateArgs {
    /// The run folder.
    #[arg(value_name = "RUN_FOLDER")]
    pub(crate) folder: PathBuf,
    /// Seconds from heater on; below 1 a share of the hearts, which takes an outcome.json.
    #[arg(long, value_name = "FRACTION|SECONDS", value_parser = number, allow_hyphen_values = true)]
    pub(crate) at: f64,
    /// Run folder of an earlier run of the same still; may be given several times, oldest first.
    #[arg(long, value_name = "FOLDER")]
    pub(crate) learned: Vec<PathBuf>,
    /// Let measurements move nothing: what was believed before heat, for comparison.
    #[arg(long)]
    pub(crate) no_update: bool,
    /// Seed of the draws behind the bands.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = 1)]
    pub(crate) seed: u64,
    #[command(flatten)]
    pub(crate) stated: StatedArgs,
}

/// Options of `middlecut learn`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: what two runs of one still taught, kept in a file
  middlecut learn first-run second-run --save still.json
")]
pub(crate) struct LearnArgs {
    /// Run folders of one still, oldest first.
    #[arg(value_name = "RUN_FOLDER", required = true)]
    pub(crate) folders: Vec<PathBuf>,
    /// Begin with what this file says was learned before.
    #[arg(long, value_name = "FILE.json", conflicts_with = "data")]
    pub(crate) from: Option<PathBuf>,
    /// Write what is known then into this file instead of the record.
    #[arg(long, value_name = "FILE.json", conflicts_with = "data")]
    pub(crate) save: Option<PathBuf>,
    /// Folder of the record that is to keep it; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// Seed of the draws behind the bands.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = 1)]
    pub(crate) seed: u64,
}
