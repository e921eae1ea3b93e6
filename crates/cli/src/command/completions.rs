//! `middlecut completions`: the completion script of a shell.

use clap::CommandFactory;
use clap_complete::Shell;

use crate::args::Cli;
use crate::error::CliError;
use crate::print;

/// Prints the script.
pub(crate) fn run(shell: Shell) -> Result<(), CliError> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "middlecut", &mut script);
    print::text(&String::from_utf8_lossy(&script))?;
    Ok(())
}
