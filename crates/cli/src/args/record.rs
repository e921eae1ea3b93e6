//! Options of the commands about the record: export, import, backup, restore, verify, accept-loss.

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

/// Options of `middlecut print`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut print 20261003-081200-4f2a sheet.html\n\nOpen the file in a browser and print it: one page of A4.\n"
)]
pub(crate) struct PrintArgs {
    /// The run's id, as the page and `middlecut verify` show it.
    #[arg(value_name = "RUN_ID")]
    pub(crate) run: String,
    /// New file to write; standard output where not given.
    #[arg(value_name = "FILE")]
    pub(crate) file: Option<PathBuf>,
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
#[command(
    after_help = "Example:\n  middlecut verify --data ./record\n  middlecut verify --expect 271a83e76c2a14dd0c64c4b62e0b65f9\n"
)]
pub(crate) struct VerifyArgs {
    /// A digest printed earlier by verify, backup or a print sheet, or its first 32 digits or more:
    /// the record must have had it at some moment.
    #[arg(long, value_name = "DIGEST")]
    pub(crate) expect: Option<String>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut restore`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut restore record-copy.sqlite\n")]
pub(crate) struct RestoreArgs {
    /// The backup.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut accept-loss`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut accept-loss --reason \"the card was pulled out\" --by Wren\n"
)]
pub(crate) struct AcceptLossArgs {
    /// Why it came, in words; kept in the record.
    #[arg(long, value_name = "TEXT")]
    pub(crate) reason: String,
    /// Who says so.
    #[arg(long, value_name = "NAME")]
    pub(crate) by: Option<String>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
