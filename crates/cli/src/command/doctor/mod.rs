//! `middlecut doctor`: what is missing on this machine, and what to do about it.

mod judge;
mod look;
mod seen;

use serde::Serialize;

use self::judge::{Finding, State};
use super::data;
use crate::args::DoctorArgs;
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct DoctorWire {
    ok: bool,
    findings: Vec<Finding>,
}

/// Looks, judges and tells.
pub(crate) fn run(args: &DoctorArgs, json: bool) -> Result<(), CliError> {
    let findings = judge::judge(&look::look(&data::folder(args.data.as_deref())?));
    let missing = findings.iter().filter(|one| one.state == State::Missing);
    let missing: Vec<String> = missing.map(|one| one.what.clone()).collect();
    if json {
        print::json(&DoctorWire { ok: missing.is_empty(), findings })?;
    } else {
        print::text(&told(&findings))?;
    }
    if missing.is_empty() { Ok(()) } else { Err(CliError::Unready { what: missing.join(", ") }) }
}

/// A line for each finding and, below it, what to do.
fn told(findings: &[Finding]) -> String {
    let width = findings.iter().map(|one| one.what.chars().count()).max().unwrap_or(0);
    let line = |Finding { what, state, words, to_do }: &Finding| {
        let state = match state {
            State::Good => "good",
            State::Missing => "MISSING",
            State::Unknown => "unknown",
        };
        let to_do = to_do.as_ref();
        let to_do =
            to_do.map_or(String::new(), |to_do| format!("{:width$}           -> {to_do}\n", ""));
        format!("{what:<width$}  {state:<7}  {words}\n{to_do}")
    };
    findings.iter().map(line).collect::<Vec<_>>().concat()
}
