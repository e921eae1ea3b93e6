//! `workbench alarms`: every recording below a folder, and rehearsals of drawn plans, through the live
//! engine; the alarms of each run held against what was the matter.
#![expect(clippy::print_stdout, reason = "the table is what the command is for")]

use std::fmt::Write as _;

use rayon::prelude::*;
use workbench::drawn::{Ranges, draw};
use workbench::{AlarmMark, alarms_in_words, recorded_alarms, rehearsed_alarms};

use crate::args::AlarmsArgs;
use crate::benchmark::folders::{self, Recording};
use crate::error::BenchError;

/// Most false alarms in a healthy run, on the mean: one in ten runs.
const FALSE_MAX: f64 = 0.1;

/// One run and what came of its alarms.
struct Row {
    name: String,
    about: String,
    mark: Result<AlarmMark, String>,
}

/// Plays and rehearses them all, prints the table, and writes it where that is asked for.
pub(crate) fn run(args: &AlarmsArgs) -> Result<(), BenchError> {
    let units = folders::find(&args.folder)?;
    let runs: Vec<&Recording> = units.iter().flat_map(|unit| &unit.runs).collect();
    let recorded: Vec<Row> = runs.par_iter().map(|run| played(run)).collect();
    let places: Vec<u32> = (0..args.rehearsals).collect();
    let rehearsed: Vec<Row> =
        places.par_iter().map(|place| rehearsal(args.seed, *place as usize)).collect();
    let mut text = String::from(HEAD);
    let held = tell(&mut text, "Recordings", &recorded) & tell(&mut text, "Rehearsals", &rehearsed);
    print!("{text}");
    if let Some(path) = &args.into {
        let unwritten = |why| BenchError::Write { option: "--into", path: path.clone(), why };
        std::fs::write(path, &text).map_err(unwritten)?;
    }
    if held { Ok(()) } else { Err(BenchError::Alarms) }
}

const HEAD: &str = "\
# Alarms held against what was the matter

Written by `cargo xtask alarms-table RECORDINGS`; changes by hand are lost. Every recording goes through the live engine row by row and second by second; rehearsals are of drawn plans, attended, with nothing the matter. *True*: alarms that the fault brings; *false*: all others; *missed*: a fault that the probes of that run can show, and no alarm told it. *Delay*: from the beginning of the fault, where it is known, to its first alarm; a fault in the readings from the first second on shows once the still is hot. Recordings hold no presses of anybody: that nobody is there is left out of them. A fault that no probe of the run can show, as lost coolant where only the head is read, is not missed. Drift and offset of a head and a charge that is stated wrongly are no alarms: the estimate doubts them. A coolant that really comes 3 K warmer (a tank that warms up) counts as told rightly.

Bound: one false alarm in ten healthy runs at most.
";

fn played(run: &Recording) -> Row {
    let truth = run.truth.as_ref();
    let family = truth.and_then(|truth| truth.family.clone()).unwrap_or_default();
    let sensors = truth.and_then(|truth| truth.sensors.clone()).unwrap_or_default();
    let mark = recorded_alarms(&run.folder.plan, &run.folder.rows, truth);
    Row { name: run.name.clone(), about: format!("{family}, {sensors}"), mark }
}

fn rehearsal(seed: u64, place: usize) -> Row {
    let name = format!("{:03}", place + 1);
    let ranges = if place.is_multiple_of(2) { Ranges::USUAL } else { Ranges::STRESS };
    let about = if place.is_multiple_of(2) { "usual" } else { "out of the usual" }.to_owned();
    let mark = match draw(seed, place, &ranges) {
        Ok(drawn) => rehearsed_alarms(&drawn.folder.plan, seed + place as u64),
        Err(why) => Err(format!("not drawn: {why:?}")),
    };
    Row { name, about, mark }
}

/// Writes a table and its sum; whether the bound holds.
fn tell(text: &mut String, title: &str, rows: &[Row]) -> bool {
    let _ = write!(
        text,
        "\n## {title}\n\n| run | of | fault | true | false | missed | delay, s | which |\n|---|---|---|---|---|---|---|---|\n"
    );
    let (mut healthy, mut wrongly, mut missed, mut rightly) = (0_usize, 0, 0, 0);
    for Row { name, about, mark } in rows {
        let mark = match mark {
            Ok(mark) => mark,
            Err(why) => {
                let _ = writeln!(text, "| {name} | {about} | | | | | | {why} |");
                continue;
            }
        };
        if mark.fault == "none" {
            healthy += 1;
            wrongly += mark.wrongly.len();
        }
        rightly += mark.rightly.len();
        missed += usize::from(mark.missed);
        let delay = mark.delay_s.map_or(String::new(), |delay_s| format!("{delay_s:.0}"));
        let which = match (alarms_in_words(&mark.rightly), alarms_in_words(&mark.wrongly)) {
            (rightly, wrongly) if wrongly.is_empty() => rightly,
            (rightly, wrongly) if rightly.is_empty() => format!("false: {wrongly}"),
            (rightly, wrongly) => format!("{rightly}; false: {wrongly}"),
        };
        let _ = writeln!(
            text,
            "| {name} | {about} | {} | {} | {} | {} | {delay} | {which} |",
            mark.fault,
            mark.rightly.len(),
            mark.wrongly.len(),
            u8::from(mark.missed)
        );
    }
    let share = wrongly as f64 / healthy.max(1) as f64;
    let _ = writeln!(
        text,
        "\n{} runs, {healthy} of them healthy: {wrongly} false alarms in those ({share:.2} a run), {rightly} true ones, {missed} faults missed.",
        rows.len()
    );
    share <= FALSE_MAX
}
