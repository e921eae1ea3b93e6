//! Options of `middlecut alarms`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

/// Options of `middlecut alarms`.
#[derive(Debug, Args)]
#[command(after_help = "\
What is alarmed and how it is heard: docs/alarms.md.

Example: try the command and the bell that alarms.toml in the data folder names
  middlecut alarms test
")]
pub(crate) struct AlarmsArgs {
    #[command(subcommand)]
    pub(crate) what: AlarmsCommand,
}

/// What is to be done.
#[derive(Debug, Subcommand)]
pub(crate) enum AlarmsCommand {
    /// Check alarms.toml, try each output once, and say what came of it.
    Test(AlarmsTestArgs),
    /// Look back at the alarms of a run: how many an hour, the worst ten, what was made quiet.
    Review(AlarmsReviewArgs),
}

/// Options of `middlecut alarms test`.
#[derive(Debug, Args)]
#[command(after_help = "\
Exit code: 0 every command that is named tells, or the bell where none is, 1 one does not; 2 the
file is refused.

Example:
  middlecut alarms test --data ./record
")]
pub(crate) struct AlarmsTestArgs {
    /// Folder that holds alarms.toml; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut alarms review`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut alarms review 20261003-081200-4f2a\n")]
pub(crate) struct AlarmsReviewArgs {
    /// The run's id, as the page and `middlecut verify` show it.
    #[arg(value_name = "RUN_ID")]
    pub(crate) run: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
