//! Options of `middlecut access`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

/// Options of `middlecut access`.
#[derive(Debug, Args)]
#[command(after_help = "\
Works while the server runs: what is made or revoked here counts at once. Codes and tokens are told
once; only their digests are kept, in the data folder.

Examples:
  middlecut access code --looker-on
  middlecut access device --still \"Copper pot\" --name \"head probe\"
  middlecut access list
")]
pub(crate) struct AccessArgs {
    #[command(subcommand)]
    pub(crate) what: AccessCommand,
}

/// What is to be done.
#[derive(Debug, Subcommand)]
pub(crate) enum AccessCommand {
    /// A code that lets one browser in, once, within ten minutes.
    Code(CodeArgs),
    /// A token with which a device may send readings of one still or one wash.
    Device(DeviceArgs),
    /// Who may come in: sessions and devices.
    List(ListArgs),
    /// Turn a browser or a device out, at once.
    Revoke(RevokeArgs),
}

/// Options of `middlecut access code`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut access code --looker-on\n")]
pub(crate) struct CodeArgs {
    /// For somebody who looks on: sees, and records nothing.
    #[arg(long)]
    pub(crate) looker_on: bool,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut access device`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  middlecut access device --still \"Copper pot\" --name \"head probe\"\n  middlecut access device --wash Plum --name float\n"
)]
pub(crate) struct DeviceArgs {
    /// Name of the still, as its plans have it.
    #[arg(long, value_name = "NAME", required_unless_present = "wash")]
    pub(crate) still: Option<String>,
    /// Instead of a still: title of a wash, or its name in the record.
    #[arg(long, value_name = "NAME", conflicts_with = "still")]
    pub(crate) wash: Option<String>,
    /// What you call the device.
    #[arg(long, value_name = "NAME")]
    pub(crate) name: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut access list`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut access list --json\n")]
pub(crate) struct ListArgs {
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut access revoke`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut access revoke 4tq8x2mh\n")]
pub(crate) struct RevokeArgs {
    /// The id, as `middlecut access list` shows it.
    #[arg(value_name = "ID")]
    pub(crate) id: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
