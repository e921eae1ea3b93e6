//! The program: reads the command line, calls one command, says what went wrong.
#![expect(clippy::print_stderr, reason = "messages of a terminal program go to standard error")]

mod args;
mod command;
mod error;
mod failure;
mod number;
mod print;
mod refusal;
mod wire;

use std::process::ExitCode;

use clap::Parser;

use args::Cli;

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(refused) => return refusal::answer(&refused),
    };
    match command::run(&cli) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) if error.is_broken_pipe() => ExitCode::SUCCESS,
        Err(error) => {
            error.failure().say(cli.json);
            ExitCode::from(error.exit_code())
        }
    }
}
