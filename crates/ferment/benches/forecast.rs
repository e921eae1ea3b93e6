//! What the forecast of a wash costs as its log grows.
//!
//! `cargo bench -p ferment`: washes simulated are counts and do not jitter; the times are of this
//! machine, one core, the middle and the slowest of five.
#![expect(clippy::print_stdout, reason = "the table goes to standard output")]

use std::time::Instant;

use ferment::{Act, ActKind, FloatReading, Glass, Log, Recipe};

/// A plain wash.
const RECIPE: &str = r#"
format = 1
kind = "sugar"
litres = 25.0
[[fermentable]]
name = "sucrose"
kg = 5.0
[yeast]
kind = "wine"
grams = 20.0
[[nutrient]]
at_h = 0.0
name = "DAP"
grams = 20.0
yan_mg_per_g = 212.0
[room]
ambient_c = 20.0
insulated = false
[reading]
hydrometer_true_at_c = 20.0
hydrometer_step = 0.001
"#;
const HOURS: [f64; 5] = [24.0, 96.0, 240.0, 480.0, 960.0];
const TIMES: usize = 5;

/// A wash that slows down: read twice a day, and by a float every two hours.
fn log(until_h: f64, float: bool) -> Log {
    let gravity = |hour: f64| 0.995 + 0.080 * (-(hour / 150.0)).exp();
    let rows = |every: f64| {
        (0..).map(move |i| 0.1 + every * f64::from(i)).take_while(move |hour| *hour <= until_h)
    };
    let glass = |time_h: f64| Glass {
        time_h,
        gravity: Some((1000.0 * gravity(time_h)).round() / 1000.0),
        temperature_c: Some(22.0),
        ph: Some(3.4),
        ..Glass::default()
    };
    let sensed = |time_h: f64| FloatReading {
        time_h,
        gravity: Some(gravity(time_h) + 0.001),
        temperature_c: Some(22.0),
    };
    Log {
        glass: rows(12.0).map(glass).collect(),
        float: if float { rows(2.0).map(sensed).collect() } else { Vec::new() },
        acts: vec![Act { time_h: 0.0, kind: ActKind::Pitch, value: 20.0 }],
    }
}

fn main() {
    let recipe: Recipe = toml::from_str(RECIPE).expect("the recipe is sound");
    println!("| log | readings | washes simulated | middle, s | slowest, s |");
    println!("|---|---|---|---|---|");
    for float in [false, true] {
        for until_h in HOURS {
            let log = log(until_h, float);
            let mut simulated = 0;
            let mut took: Vec<f64> = (0..TIMES)
                .map(|_| {
                    let begun = Instant::now();
                    simulated = ferment::forecast(&recipe, &log, until_h).expect("sound").simulated;
                    begun.elapsed().as_secs_f64()
                })
                .collect();
            took.sort_by(f64::total_cmp);
            let words = if float { "with a float" } else { "by the glass" };
            let readings = log.glass.len() + log.float.len();
            println!(
                "| {until_h:.0} h {words} | {readings} | {simulated} | {:.2} | {:.2} |",
                took[TIMES / 2],
                took[TIMES - 1]
            );
        }
    }
}
