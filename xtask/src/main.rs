//! One command for every chore: test everything, keep the tree tidy, refresh generated files.
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a terminal program")]

mod account_table;
mod alarms;
mod benchmark;
mod calibrate;
mod chromium;
mod column;
mod command;
mod constants;
mod deny;
mod ferment;
mod fuzz;
mod measured;
mod package;
mod page_trials;
mod report;
mod screens;
mod test;
mod tidy;
mod trials;
mod unchanged;
mod wire;

use std::path::PathBuf;
use std::process::ExitCode;

const HELP: &str = "\
cargo xtask COMMAND

  test [--no-browser] [--only PART]...
          everything that must pass before a change is done, in this order:
          format, tidy, deny, page, lint, rust, browser
  tidy    rules no compiler checks: module sentences, file lengths, crate edges,
          pure crates, circles of files, words that must not land, links
  wire    write web/openapi.json and the page's types from the server
  alarms  write the engine's table of alarms, docs/alarms.md and the cases of their walk, from
          crates/advise/alarms.toml
  alarms-table FOLDER
          every recording below FOLDER and 200 rehearsals through the live engine: their alarms,
          true, false, missed and how late, as docs/benchmark/alarms.md
  constants  write docs/model/constants.md from the comments of the code
  measured  hold the program to measured runs, write docs/benchmark/measured.md and its drawings
  trials [NAME]...
          the release program as a server on a real clock, tried from outside; half an hour, no
          part of test: feeders, feeds, restart, clock, head_off, power_cut, kills, rehearsals
  fuzz [SEED]
          the API asked thousands of things drawn from its own document by a fuzzer from PyPI, which
          is installed below target; three minutes, no part of test
  package [--built] [amd64] [arm64]
          a Debian package and a plain archive for each machine, each tried: size, start, the same
          forecast (the foreign one under qemu-user), the service file, a clean Debian; needs root,
          debootstrap, gcc-aarch64-linux-gnu, qemu-user and systemd
  ferment FOLDER
          forecast the washes below FOLDER, score them, measure what a forecast costs:
          docs/benchmark/ferment.md
  column  columns drawn with a thermometer in them, forecast with it and without:
          docs/benchmark/column.md; ten minutes, no part of test
  account-table  what the account of pure alcohol costs as it grows: docs/benchmark/account.md
  page-trials  the page on a desk, a phone and a tablet, by loopback, a plain-http name and IPv6:
          pairing, two people, an alarm that is heard, a stream that is cut or falls silent, twelve
          hours of a run, frames while the strip moves on a slowed processor, and what keys, small
          screens and fixed colours ask for; prints a table; half an hour, no part of test
  screens take pictures of every page, phone and desktop, light and dark
  benchmark [FOLDER] [--baseline FORECASTS.csv]...
          forecast the recordings below FOLDER, score them, write docs/benchmark
  calibrate FOLDER...
          learn from the recordings with outcome below the folders what the estimate takes from
          crates/estimate/src/learned.rs
  help    this text

Environment: MIDDLECUT_CHROMIUM is the browser to drive, where it is not on the path;
MIDDLECUT_RECORDINGS is the folder of recordings, where benchmark names none.
";

/// The folder that holds the workspace manifest.
fn workspace_root() -> PathBuf {
    let manifest = std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    manifest.parent().map_or_else(|| PathBuf::from("."), PathBuf::from)
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let root = workspace_root();
    let done = match words.as_slice() {
        ["test", options @ ..] => test::run_chosen(&root, options),
        ["tidy"] => tidy::run(&root),
        ["wire"] => wire::run_wire(&root),
        ["alarms"] => alarms::run_alarms(&root),
        ["alarms-table", folder] => alarms::run_table(&root, folder),
        ["benchmark", options @ ..] => benchmark::run_benchmark(&root, options),
        ["calibrate", folders @ ..] => calibrate::run_calibrate(&root, folders),
        ["measured"] => measured::run_measured(&root),
        ["trials", names @ ..] => trials::run_trials(&root, names),
        ["fuzz", options @ ..] => fuzz::run_fuzz(&root, options),
        ["package", machines @ ..] => package::run_package(&root, machines),
        ["ferment", options @ ..] => ferment::run_ferment(&root, options),
        ["account-table"] => account_table::run_account_table(&root),
        ["page-trials"] => page_trials::run_page_trials(&root),
        ["column", options @ ..] => column::run_column(&root, options),
        ["constants"] => constants::run_constants(&root),
        ["screens"] => screens::run_screens(&root),
        ["help" | "--help" | "-h"] | [] => {
            print!("{HELP}");
            return ExitCode::SUCCESS;
        }
        [unknown, ..] => {
            eprintln!("error: no such chore: {unknown}\nhint: cargo xtask help lists them");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            if let Some(hint) = error.hint() {
                eprintln!("hint: {hint}");
            }
            ExitCode::FAILURE
        }
    }
}
