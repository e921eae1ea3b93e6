//! Options of `middlecut doctor`.

use std::path::PathBuf;

use clap::Args;

/// Options of `middlecut doctor`.
#[derive(Debug, Args)]
#[command(after_help = "\
It looks at the data folder, the record, the disk, the clock, the probes that feeds.toml names and its
broker, and changes nothing.

Exit code: 0 nothing is missing, 1 something is.

Example:
  middlecut doctor --data ./record
")]
pub(crate) struct DoctorArgs {
    /// Folder of the record and of feeds.toml; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
