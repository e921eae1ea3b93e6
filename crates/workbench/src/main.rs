//! The workbench as a program: reads the command line, makes and scores forecasts, says what went wrong.
#![expect(clippy::print_stderr, reason = "messages of a terminal program go to standard error")]

mod args;
mod benchmark;
mod error;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

fn main() -> ExitCode {
    let Cli { command: Command::Benchmark(args), json } = Cli::parse();
    match benchmark::run(&args, json) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}\nhint: {}", error.hint());
            ExitCode::from(error.exit_code())
        }
    }
}
