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
        let rows: Vec<Vec<String>> = findings.into_iter().flat_map(lines).collect();
        print::text(&print::columns(&rows))?;
    }
    if missing.is_empty() { Ok(()) } else { Err(CliError::Unready { what: missing.join(", ") }) }
}

/// The lines of one finding: what was seen and, below it, what to do.
fn lines(finding: Finding) -> Vec<Vec<String>> {
    let state = match finding.state {
        State::Good => "good",
        State::Missing => "MISSING",
        State::Unknown => "unknown",
    };
    let mut lines = vec![vec![finding.what, state.to_owned(), finding.words]];
    lines.extend(
        finding.to_do.map(|to_do| vec![String::new(), String::new(), format!("-> {to_do}")]),
    );
    lines
}
