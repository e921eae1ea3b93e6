//! The clock on the wall is set under a server at full boil: run time goes on, and lost coolant is
//! told as soon as ever.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use crate::drawn::Dice;
use crate::figures::Figures;
use crate::past::{example, rehearsed};
use crate::run::{Run, alarm, cells, channel, codes, every_second, time_s};
use crate::served::{Served, program};

/// A library that gives one process a clock of its own; Debian's package is `faketime`.
const LIBRARIES: [&str; 4] = [
    "/usr/lib/x86_64-linux-gnu/faketime/libfaketime.so.1",
    "/usr/lib/aarch64-linux-gnu/faketime/libfaketime.so.1",
    "/usr/lib/arm-linux-gnueabihf/faketime/libfaketime.so.1",
    "/usr/lib/faketime/libfaketime.so.1",
];
/// The steps of the clock, s.
const BACK_S: i64 = -600;
const FORWARD_S: i64 = 26 * 3600;
const MEANWHILE_S: i64 = 3 * 3600;
/// How far run time may be off what truly passed: a second is ended once it is over, and a look
/// at the clock comes four times in it.
const OFF_MAX_S: f64 = 2.0;
/// Longest from lost coolant to the alarm, s.
const ALARM_MAX_S: f64 = 15.0;
/// Longest from the last reading until it is told as stale, s: three readings missing and ten
/// seconds at least, and the second in which that is found.
const STALE_MAX_S: f64 = 15.0;

/// A clock on the wall that can be set for one server alone.
struct Wall {
    library: PathBuf,
    file: PathBuf,
}

impl Wall {
    fn of(folder: &Path) -> Self {
        let library = LIBRARIES.into_iter().map(PathBuf::from).find(|path| path.exists());
        let library = library.expect("no libfaketime here: apt-get install faketime");
        let wall = Self { library, file: folder.join("wall") };
        wall.set(0);
        wall
    }

    /// So far from the true time, s.
    fn set(&self, off_s: i64) {
        std::fs::write(&self.file, format!("{off_s:+}\n")).expect("the test folder can be written");
    }

    /// The program with that clock on the wall; the clocks that nobody sets are the true ones.
    fn program(&self) -> Command {
        let mut program = program();
        program
            .env("LD_PRELOAD", &self.library)
            .env("FAKETIME_TIMESTAMP_FILE", &self.file)
            .env("FAKETIME_NO_CACHE", "1")
            .env("FAKETIME_DONT_FAKE_MONOTONIC", "1")
            .env("NO_FAKE_STAT", "1");
        program
    }
}

/// What the probes of the boiling column show: the last of the past, with a little noise.
struct Boil {
    last: Value,
    dice: Dice,
}

impl Boil {
    fn row(&mut self) -> Value {
        let mut row = self.last.clone();
        for name in ["head_c", "pot_c", "coolant_out_c"] {
            let value = row[name].as_f64().expect("it was read");
            row[name] = json!(value + self.dice.between(-0.05, 0.05));
        }
        row
    }

    /// With the coolant gone for so long, s.
    fn dry(&mut self, for_s: u32) -> Value {
        let mut row = self.row();
        let out_c = row["coolant_out_c"].as_f64().expect("it was read");
        row["coolant_l_per_min"] = json!(0.0);
        row["coolant_out_c"] = json!((out_c + 1.5 * f64::from(for_s)).min(95.0));
        row
    }
}

fn clock_steps(shown: &Value) -> usize {
    codes(&shown["events"]).filter(|code| *code == "clock_set").count()
}

/// How far run time is off what truly passed, s.
fn off_s(run: &Run, served: &Served) -> f64 {
    let before_s = run.passed_s();
    let shown_s = time_s(&run.shown(served));
    (shown_s - 0.5 * (before_s + run.passed_s())).abs()
}

/// Reads the boil for some seconds; the most that run time was off meanwhile.
fn boils(run: &Run, served: &Served, boil: &mut Boil, seconds: u32) -> f64 {
    let mut most_s = 0.0_f64;
    every_second(seconds, |_| {
        run.read(served, &boil.row());
        most_s = most_s.max(off_s(run, served));
        false
    });
    most_s
}

#[test]
fn a_clock_set_at_full_boil_hides_no_lost_coolant_and_moves_no_run() {
    let mut figures = Figures::of("clock");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let wall = Wall::of(folder.path());
    let past = rehearsed(&example("perry"), 3, 900.0, None);
    let served = Served::start_by(wall.program(), folder.path());
    let run = Run::begin(&served, &past, 1.0);
    let last = past.rows.readings.last().expect("it was read").1;
    let mut boil = Boil { last: Value::Object(cells(&last)), dice: Dice::of(11) };

    let before_s = boils(&run, &served, &mut boil, 15);
    figures.at_most("run time off, before any step", before_s, OFF_MAX_S, "s");
    wall.set(BACK_S);
    let back_s = boils(&run, &served, &mut boil, 30);
    figures.at_most("run time off, set back 10 min", back_s, OFF_MAX_S, "s");
    wall.set(BACK_S + FORWARD_S);
    let forward_s = boils(&run, &served, &mut boil, 30);
    figures.at_most("run time off, set forward 26 h", forward_s, OFF_MAX_S, "s");
    let shown = run.shown(&served);
    figures.all("steps told as an event", clock_steps(&shown), 2);
    let goes_on = shown["ended"].is_null() && !alarm(&shown, "coolant_loss");
    figures.tell("the run goes on, no false alarm", goes_on, "true", goes_on);

    let lost_s = time_s(&shown);
    let mut alarm_s = f64::NAN;
    every_second(60, |second| {
        run.read(&served, &boil.dry(second));
        let shown = run.shown(&served);
        alarm_s = if alarm(&shown, "coolant_loss") { time_s(&shown) } else { f64::NAN };
        !alarm_s.is_nan()
    });
    figures.at_most("coolant lost to alarm, run time", alarm_s - lost_s, ALARM_MAX_S, "s");

    let silent_s = run.passed_s();
    let mut stale_s = f64::NAN;
    every_second(60, |_| {
        let shown = run.shown(&served);
        let stale = |name| channel(&shown, name)["quality"] == "stale";
        let all = ["head_c", "pot_c", "coolant_out_c", "coolant_l_per_min"].into_iter().all(stale);
        stale_s = if all { run.passed_s() } else { f64::NAN };
        all
    });
    figures.at_most("last reading to told as stale", stale_s - silent_s, STALE_MAX_S, "s");
    stopped(&mut figures, folder.path(), &wall, served, &run);
    figures.finish();
}

/// The clock is set while the program is stopped.
fn stopped(figures: &mut Figures, folder: &Path, wall: &Wall, served: Served, run: &Run) {
    served.terminate();
    wall.set(BACK_S + FORWARD_S + MEANWHILE_S);
    std::thread::sleep(Duration::from_secs(5));
    let served = Served::start_by(wall.program(), folder);
    // It catches up with the seconds of the stop.
    std::thread::sleep(Duration::from_secs(2));
    let off_s = off_s(run, &served);
    figures.at_most("run time off, set 3 h on while stopped", off_s, OFF_MAX_S, "s");
    figures.all("steps told, that one too", clock_steps(&run.shown(&served)), 3);
}
