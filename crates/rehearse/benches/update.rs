//! What the estimate of each minute costs through a long run: early, late, with congeners and
//! without.
//!
//! `cargo bench -p rehearse`: simulations are counts and do not jitter; the times are of this machine.

use std::collections::BTreeMap;
use std::time::Instant;

use advise::{Live, LiveOptions};
use sense::{Cursor, RecordedRun};
use still::plan::{RunPlan, StepKind};

const GRAIN: &str = include_str!("../../../examples/hollowbank/grain/run.toml");
/// Quarters of the run.
const PARTS: usize = 4;
/// Seed of the rehearsal.
const SEED: u64 = 7;

/// A run of eight hours: the example's column, filled with something strong and drawn off slowly.
fn long_plan() -> RunPlan {
    let mut plan: RunPlan = toml::from_str(GRAIN).expect("the example plan is sound");
    plan.charge.strength_vol = 30.0;
    plan.charge.litres = 22.0;
    for step in plan.steps.iter_mut().filter(|step| step.kind == StepKind::Hearts) {
        step.takeoff_ml_per_min = step.takeoff_ml_per_min.map(|rate| 0.9 * rate);
    }
    plan
}

fn rehearsed(plan: &RunPlan) -> RecordedRun {
    let mut rows = RecordedRun::default();
    let options = &mut |part: &sense::SecondRows| rows.append(part.clone());
    rehearse::rehearse(plan, SEED, &mut |_, _| {}, options).expect("the plan can be run");
    rows
}

/// Simulations and milliseconds of every update.
fn updates(plan: &RunPlan, rows: &RecordedRun) -> Vec<(u64, f64)> {
    let mut live = Live::new(plan.clone(), LiveOptions::default()).expect("the plan is sound");
    let (mut list, mut cursor) = (Vec::new(), Cursor::new(rows));
    for second in (0_u64..).take_while(|second| *second as f64 <= rows.last_s()) {
        while let Some(row) = cursor.next_until(second as f64) {
            live.row(row);
        }
        live.tick(second);
        if let Some(request) = live.request() {
            let begun = Instant::now();
            let answer = request.compute();
            let took_ms = 1e3 * begun.elapsed().as_secs_f64();
            let simulations = answer.outlook().map_or(0, |outlook| outlook.evidence.simulations);
            list.push((simulations, took_ms));
            live.answer(answer);
        }
    }
    list
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

#[expect(clippy::print_stdout, reason = "the figures are the result of the benchmark")]
fn main() {
    let plan = long_plan();
    let rows = rehearsed(&plan);
    let mut bare = plan.clone();
    bare.charge.congeners_mg_per_l = Some(BTreeMap::new());
    println!("a run of {:.1} h, {} jars", rows.last_s() / 3600.0, rows.jars.len());
    for (name, plan) in [("without congeners", &bare), ("with congeners", &plan)] {
        let list = updates(plan, &rows);
        println!("{name}: {} updates; simulations (median, mean), ms (median)", list.len());
        for part in 0..PARTS {
            let of = &list[part * list.len() / PARTS..(part + 1) * list.len() / PARTS];
            let counts: Vec<f64> = of.iter().map(|update| update.0 as f64).collect();
            let mean = counts.iter().sum::<f64>() / counts.len() as f64;
            let took_ms = median(of.iter().map(|update| update.1).collect());
            println!("  quarter {}: {:3}, {mean:5.1}; {took_ms:6.1}", part + 1, median(counts));
        }
    }
}
