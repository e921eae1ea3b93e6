//! Options of `middlecut feeds`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::number;

/// Options of `middlecut feeds`.
#[derive(Debug, Args)]
#[command(after_help = "\
Feeds only listen: nothing is sent to a probe, and this command stores nothing.

Example: what came from every source within ten seconds
  middlecut feeds check --seconds 10
")]
pub(crate) struct FeedsArgs {
    #[command(subcommand)]
    pub(crate) what: FeedsCommand,
}

/// What is to be done.
#[derive(Debug, Subcommand)]
pub(crate) enum FeedsCommand {
    /// Check feeds.toml, read its sources for a while, and say what came and what is wrong.
    Check(FeedsCheckArgs),
}

/// Options of `middlecut feeds check`.
#[derive(Debug, Args)]
#[command(after_help = "\
Exit code: 0 every channel is read, 1 one is not, 2 the file is refused.

Example:
  middlecut feeds check --data ./record --seconds 10
")]
pub(crate) struct FeedsCheckArgs {
    /// Folder that holds feeds.toml; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// How long to read, s.
    #[arg(long, value_name = "N", value_parser = number, allow_hyphen_values = true, default_value = "5")]
    pub(crate) seconds: f64,
}
