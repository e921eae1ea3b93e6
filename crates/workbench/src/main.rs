//! The workbench as a program: reads the command line, makes and scores forecasts, says what went wrong.
#![expect(clippy::print_stderr, reason = "messages of a terminal program go to standard error")]

mod alarmed;
mod args;
mod benchmark;
mod columned;
mod drawing;
mod error;
mod washed;
mod watched;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

fn main() -> ExitCode {
    let Cli { command, json } = Cli::parse();
    let done = match command {
        Command::Alarms(args) => alarmed::run(&args),
        Command::Benchmark(args) => benchmark::run(&args, json),
        Command::Calibrate(args) => benchmark::calibrated::run(&args),
        Command::Column(args) => columned::run(&args),
        Command::Draw(args) => drawing::run(&args),
        Command::Invariants(args) => watched::run(&args),
        Command::Washes(args) => washed::run(&args),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}\nhint: {}", error.hint());
            ExitCode::from(error.exit_code())
        }
    }
}
