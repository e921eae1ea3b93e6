//! Three hundred rehearsals of drawn plans through the program: none is refused, none draws more
//! than was charged, none keeps a person waiting.

use std::fs::File;
use std::path::Path;
use std::process::Stdio;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread::{available_parallelism, scope, sleep};
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::drawn;
use crate::figures::Figures;
use crate::served::{program, typed};

/// Plans where nobody asks for another number by `MIDDLECUT_DRAWN_PLANS`.
const PLANS: u64 = 300;
/// Longest rehearsal, s; one that takes six times as long is given up.
const LONGEST_S: f64 = 10.0;
const GIVEN_UP: Duration = Duration::from_mins(1);
/// A still drawn till nothing is left gives all there was, to what sums of floats lose.
const ROUNDING: f64 = 1e-9;
const LOOK_EVERY: Duration = Duration::from_millis(5);

/// One rehearsal.
struct Rehearsed {
    seed: u64,
    took_s: f64,
    /// Pure alcohol drawn, of what was charged; or why there is none.
    drawn: Result<f64, String>,
}

fn rehearse(folder: &Path, seed: u64) -> Rehearsed {
    let plan = drawn::plan(seed);
    let (file, out) = (folder.join(format!("{seed}.toml")), folder.join(format!("{seed}.json")));
    let text = store::folder::write_plan(&plan).expect("a plan can be written");
    std::fs::write(&file, text).expect("the test folder can be written");
    let printed = File::create(&out).expect("the test folder can be written");
    let began = Instant::now();
    let mut child = program()
        .args(["rehearse", typed(&file), "--seed", &seed.to_string(), "--json"])
        .stdout(printed)
        .stderr(Stdio::null())
        .spawn()
        .expect("the program can be started");
    let status = loop {
        if let Some(status) = child.try_wait().expect("it can be asked") {
            break Some(status);
        }
        if began.elapsed() > GIVEN_UP {
            drop(child.kill());
            drop(child.wait());
            break None;
        }
        sleep(LOOK_EVERY);
    };
    let took_s = began.elapsed().as_secs_f64();
    let said = std::fs::read_to_string(&out).unwrap_or_default();
    let answer: Value = serde_json::from_str(&said).unwrap_or_default();
    let drawn = match status {
        Some(status) if status.success() => {
            let charged_l = plan.charge.litres * plan.charge.strength_vol / 100.0;
            let drawn_l = answer["end"]["pure_alcohol_l"].as_f64();
            drawn_l.map(|drawn_l| drawn_l / charged_l).ok_or_else(|| "no end was told".to_owned())
        }
        Some(status) => Err(format!("{status}: {}", answer["error"])),
        None => Err("given up".to_owned()),
    };
    Rehearsed { seed, took_s, drawn }
}

#[test]
fn no_drawn_rehearsal_is_refused_draws_more_than_was_charged_or_takes_long() {
    let mut figures = Figures::of("rehearsals");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let plans = drawn::count(PLANS);
    let next = AtomicU64::new(0);
    let workers = available_parallelism().map_or(1, std::num::NonZero::get);
    let all: Vec<Rehearsed> = scope(|scope| {
        let work = || {
            let mut done = Vec::new();
            while let Some(seed) = Some(next.fetch_add(1, Ordering::SeqCst)).filter(|n| *n < plans)
            {
                done.push(rehearse(folder.path(), seed));
            }
            done
        };
        let threads: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
        threads.into_iter().flat_map(|thread| thread.join().expect("no panic")).collect()
    });
    for rehearsed in &all {
        if let Err(why) = &rehearsed.drawn {
            figures.note("refused", format!("plan {}: {why}", rehearsed.seed));
        }
    }
    let done: Vec<(u64, f64)> =
        all.iter().filter_map(|one| Some((one.seed, *one.drawn.as_ref().ok()?))).collect();
    figures.all("rehearsed to an end, none refused", done.len(), all.len());
    let most = done.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, f64::NAN));
    let words = format!("{:.2} % (plan {})", 100.0 * most.1, most.0);
    figures.tell(
        "most pure alcohol drawn of what was charged",
        words,
        "at most 100 %",
        most.1 <= 1.0 + ROUNDING,
    );
    let slowest = all.iter().max_by(|a, b| a.took_s.total_cmp(&b.took_s));
    let (seed, slowest_s) = slowest.map_or((0, f64::NAN), |one| (one.seed, one.took_s));
    let words = format!("{slowest_s:.2} s (plan {seed})");
    let bound = format!("at most {LONGEST_S} s");
    figures.tell("slowest", words, &bound, slowest_s <= LONGEST_S);
    let mean_s = all.iter().map(|one| one.took_s).sum::<f64>() / all.len() as f64;
    figures.note(&format!("mean, {workers} at a time"), format!("{mean_s:.2} s"));
    figures.finish();
}
