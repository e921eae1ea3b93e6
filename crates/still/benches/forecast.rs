//! How long a whole forecast takes, and how hard the integrator works for it.
//!
//! `cargo bench -p still`: the step counts are printed first; they do not jitter.

use still::forecast::{Options, forecast};
use still::plan::RunPlan;

const EIGHT: &str = include_str!("../reference/column/bench/bench.toml");
const BINARY: &str = include_str!("../reference/column/bench/bench_binary.toml");

fn plan(text: &str) -> RunPlan {
    toml::from_str(text).expect("bundled plans parse")
}

#[expect(clippy::print_stdout, reason = "the step counts are a result of the benchmark")]
fn main() {
    for (name, text) in [("eight components", EIGHT), ("ethanol and water", BINARY)] {
        let effort = forecast(&plan(text), &Options::default()).expect("bundled plans run").effort;
        println!(
            "{name}: {} steps, {} rejected, {} derivatives",
            effort.steps, effort.rejected, effort.derivative_calls
        );
    }
    divan::main();
}

#[divan::bench(args = [Some(60.0), None])]
fn eight_components(bencher: divan::Bencher<'_, '_>, row_every_s: Option<f64>) {
    let (plan, options) = (plan(EIGHT), Options { row_every_s, ..Options::default() });
    bencher.bench(|| forecast(&plan, &options).expect("bundled plans run"));
}

#[divan::bench(args = [Some(60.0), None])]
fn ethanol_and_water(bencher: divan::Bencher<'_, '_>, row_every_s: Option<f64>) {
    let (plan, options) = (plan(BINARY), Options { row_every_s, ..Options::default() });
    bencher.bench(|| forecast(&plan, &options).expect("bundled plans run"));
}
