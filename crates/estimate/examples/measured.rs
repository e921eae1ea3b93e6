//! The measured runs against this program, as rows: for `cargo xtask measured`, which draws them.
#![expect(clippy::print_stdout, reason = "a chore reads its output")]

#[path = "../tests/measured/pilot.rs"]
mod pilot;

use estimate::{CalibrateError, Compared, FinishedRun, Said, calibrate};
use pilot::Measured;
use still::Cancel;

/// The runs, the last one with a charge that is not stated.
const RUNS: [&str; 5] = ["Q2", "Q4", "Q5", "Q8", "T2"];

fn main() -> Result<(), CalibrateError> {
    let runs: Vec<Measured> = RUNS.iter().map(|name| pilot::run(name)).collect();
    let given: Vec<FinishedRun<'_>> = runs
        .iter()
        .map(|run| FinishedRun { plan: &run.plan, rows: &run.rows, residue: None })
        .collect();
    let found = calibrate(&given, &Said::default(), &Cancel::never())?;
    for value in &found.values {
        let (of, band) = (value.of.name(), value.value);
        println!("value,{of},{:.3},{:.3},{:.3},{}", band.p10, band.p50, band.p90, value.told);
    }
    for (name, run) in RUNS.iter().zip(&found.runs) {
        say(name, "fitted", &run.fitted);
        if let Some(out) = &run.left_out {
            say(name, "left_out", out);
        }
    }
    Ok(())
}

fn say(name: &str, how: &str, compared: &Compared) {
    let or = |value: Option<f64>| value.map_or_else(String::new, |value| format!("{value:.2}"));
    println!(
        "run,{name},{how},{},{},{:.2},{}",
        or(compared.strength_rms_vol),
        or(compared.strength_bias_vol),
        compared.end_percent,
        or(compared.alcohol_percent)
    );
    for (litres, came, simulated) in &compared.slices {
        println!("slice,{name},{how},{litres:.3},{came:.2},{simulated:.2}");
    }
}
