//! `workbench invariants`: plays or rehearses every run below a folder and says which rules broke.
#![expect(clippy::print_stdout, reason = "what was found is what the command is for")]

use std::collections::BTreeMap;

use advise::LiveOptions;
use rayon::prelude::*;
use rehearse::{Attended, Manner};
use workbench::invariants::{Count, Report, recorded, rehearsed};

use crate::args::InvariantsArgs;
use crate::benchmark::folders::{self, Recording};
use crate::error::BenchError;

/// What a single run was found to be.
struct Watched<'a> {
    run: &'a Recording,
    manner: Manner,
    report: Result<Report, String>,
}

/// Watches them all, on all cores, and prints what broke and which alarms a healthy run raised.
pub(crate) fn run(args: &InvariantsArgs) -> Result<(), BenchError> {
    let units = folders::find(&args.folder)?;
    let runs: Vec<&Recording> = units.iter().flat_map(|unit| &unit.runs).collect();
    let all: Vec<Watched<'_>> =
        runs.par_iter().enumerate().map(|(place, run)| watch(args, place, run)).collect();
    let mut total = Count::default();
    let mut often: BTreeMap<&str, u64> = BTreeMap::new();
    for watched in &all {
        let name = format!("{} ({:?})", watched.run.name, watched.manner);
        match &watched.report {
            Err(why) => println!("{name}: {why}"),
            Ok(report) => {
                tell(&name, watched.run, report);
                total.add(&report.count);
                for (rule, times) in &report.often {
                    *often.entry(rule).or_default() += times;
                }
            }
        }
    }
    println!("{} runs, {} s, {} checks", all.len(), total.seconds, total.checks);
    println!("{} times a forecast that moved was explained", total.moves);
    for (rule, times) in &often {
        println!("{times} times not: {rule}");
    }
    let unmade = all.iter().filter(|watched| watched.report.is_err()).count();
    if unmade == 0 { Ok(()) } else { Err(BenchError::Unmade { failed: unmade, of: all.len() }) }
}

fn watch<'a>(args: &InvariantsArgs, place: usize, run: &'a Recording) -> Watched<'a> {
    let careless = Manner::CARELESS[place / 2 % Manner::CARELESS.len()];
    let rehearses = args.rehearse && place % 2 == 1;
    let manner = if rehearses { careless } else { Manner::Careful };
    let report = if args.rehearse {
        let options = LiveOptions { estimate: args.forecasts, ..LiveOptions::default() };
        let how = Attended { seed: args.seed + place as u64, manner, options, scale: false };
        rehearsed(&run.folder.plan, &how)
    } else {
        let really_vol = run.truth.as_ref().and_then(|truth| truth.charge_strength_vol);
        recorded(&run.folder.plan, &run.folder.rows, args.forecasts, really_vol)
    };
    Watched { run, manner, report }
}

fn tell(name: &str, run: &Recording, report: &Report) {
    for broken in &report.broken {
        println!("{name} at {:.0} s: not: {}: {}", broken.time_s, broken.rule, broken.what);
    }
    let healthy = run.truth.as_ref().is_some_and(|truth| truth.fault.as_deref() == Some("none"));
    // Recordings hold no presses of anybody who is there.
    let raised = report.alarms.iter().filter(|alarm| alarm.code != "attendant_absent");
    for alarm in raised.filter(|_| healthy) {
        let (code, time_s) = (alarm.code, alarm.time_s);
        println!("{name} at {time_s:.0} s: alarm {code} in a healthy run: {}", alarm.text);
    }
}
