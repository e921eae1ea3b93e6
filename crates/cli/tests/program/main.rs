//! The program as a person and a script meet it: started as a process, judged by what it says.

mod access;
mod account;
mod alarms;
mod alike;
mod bad_input;
mod calibrate;
mod chain;
mod column_cases;
mod commands;
mod entered;
mod estimate;
mod feeds;
mod ferment;
mod finishing;
mod kill_restart;
mod learn;
#[cfg(target_os = "linux")]
mod load;
mod measure;
mod mend;
mod rehearsed;
mod washes;
mod words;
mod zone;

#[path = "../served/mod.rs"]
#[cfg_attr(
    not(target_os = "linux"),
    expect(dead_code, reason = "the load and trials use the rest")
)]
mod served;

#[cfg(target_os = "linux")]
#[path = "../rig/mod.rs"]
mod rig;

use std::path::{Path, PathBuf};
use std::process::Output;

use served::{program, typed};

/// The run file of the example.
const RUN_TOML: &str = include_str!("../../../../examples/hollowbank/perry/run.toml");

/// Runs it to its end.
fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().expect("the program can be started")
}

/// Runs it, which must succeed, and returns what it printed.
fn printed(arguments: &[&str]) -> String {
    let Output { status, stdout, stderr } = run(arguments);
    let said = String::from_utf8_lossy(&stderr);
    assert!(status.success(), "{arguments:?} {status}: {said}");
    String::from_utf8(stdout).expect("the program prints UTF-8")
}

/// A file of the example house.
fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hollowbank").join(name)
}
