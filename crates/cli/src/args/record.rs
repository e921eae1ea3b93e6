//! Options of the commands about the record: export, import, backup, verify.

use std::path::PathBuf;

use clap::Args;

/// Options of `middlecut export`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut export 20261003-081200-4f2a my-run\n")]
pub(crate) struct ExportArgs {
    /// The run's id, as the page and `middlecut verify` show it.
    #[arg(value_name = "RUN_ID")]
    pub(crate) run: String,
    /// New or empty folder to write.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut import`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut import my-run\n")]
pub(crate) struct ImportArgs {
    /// The run folder to read.
    #[arg(value_name = "DIR")]
    pub(crate) folder: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut backup`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut backup record-copy.sqlite\n")]
pub(crate) struct BackupArgs {
    /// New file to write.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut verify`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut verify --data ./record\n")]
pub(crate) struct VerifyArgs {
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
