//! Options of the command that prints manual pages.

use std::path::PathBuf;

use clap::Args;

/// Options of `middlecut man`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples: read a page; install all of them
  middlecut man forecast | man -l -
  middlecut man --dir ~/.local/share/man/man1
")]
pub(crate) struct ManArgs {
    /// The command; the whole program where not given.
    #[arg(value_name = "COMMAND")]
    pub(crate) command: Option<String>,
    /// Write every page into this folder instead.
    #[arg(long, value_name = "DIR", conflicts_with = "command")]
    pub(crate) dir: Option<PathBuf>,
}
