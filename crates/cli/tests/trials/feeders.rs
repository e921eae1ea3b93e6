//! Ten feeders at once, each a second and a half late: every row is kept, once, and nobody waits.

use std::thread::{scope, sleep};
use std::time::{Duration, Instant};

use sense::Probe;
use serde_json::json;

use crate::figures::{Figures, percentile};
use crate::past::{example, rehearsed};
use crate::run::Run;
use crate::served::{Served, program, typed};

/// How long they feed, rows each, one a second.
const ROWS: u32 = 60;
/// How late a row is stamped, s.
const LATE_S: f64 = 1.5;
/// Longest wait for a row, 99 in 100, and of a person, ms.
const POST_MAX_MS: f64 = 100.0;
const ACT_MAX_MS: f64 = 250.0;
/// Between two acts of the person.
const ACT_EVERY: Duration = Duration::from_secs(4);

/// What a feeder's probe shows at its `place`-th row: no two rows alike.
fn value(probe: Probe, place: u32) -> f64 {
    let small = f64::from(place) / 100.0;
    match probe {
        Probe::Head => 78.0 + small,
        Probe::Pot => 94.0 + small,
        Probe::CoolantOut => 40.0 + small,
        Probe::CoolantFlow => 1.5 + small / 10.0,
        Probe::Heater => 1800.0 + f64::from(place),
        Probe::Pressure => 1004.0 + small,
        _ => 15.0 + small,
    }
}

/// Feeds one probe; how long each row took, ms.
fn feed(served: &Served, run: &Run, probe: Probe, place: u32) -> Vec<f64> {
    sleep(Duration::from_millis(u64::from(place) * 97));
    let began = Instant::now();
    let row = |row: u32| {
        sleep((Duration::from_secs(1) * row).saturating_sub(began.elapsed()));
        let at_s = ((run.passed_s() - LATE_S) * 1000.0).round() / 1000.0;
        let asked = Instant::now();
        let ask = json!({"rows": [{"time_s": at_s, probe.column(): value(probe, row)}]});
        run.post(served, "readings", &ask);
        asked.elapsed().as_secs_f64() * 1000.0
    };
    (0..ROWS).map(row).collect()
}

/// A person acts meanwhile; how long each act took, ms.
fn attend(served: &Served, run: &Run) -> Vec<f64> {
    let acts = ["here", "note", "gauge"].into_iter().cycle().take(ROWS as usize / 4);
    let act = |(place, act): (u32, &str)| {
        sleep(ACT_EVERY);
        let ask = match act {
            "note" => json!({"action": "note", "note": format!("looked {place}")}),
            "gauge" => json!({"action": "gauge", "value": 93.0, "unit": "vol_at_20", "sure": true}),
            act => json!({ "action": act }),
        };
        let asked = Instant::now();
        run.post(served, "actions", &ask);
        asked.elapsed().as_secs_f64() * 1000.0
    };
    (0..).zip(acts).map(act).collect()
}

#[test]
fn ten_late_feeders_lose_no_row_and_hold_nobody_up() {
    let mut figures = Figures::of("feeders");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let past = rehearsed(&example("perry"), 9, 600.0, None);
    let served = Served::start(folder.path());
    let run = Run::begin(&served, &past, 3.0);
    let (mut posts, mut acts) = scope(|scope| {
        let feeders: Vec<_> = (0..)
            .zip(Probe::ALL)
            .map(|(place, probe)| {
                let (served, run) = (&served, &run);
                scope.spawn(move || feed(served, run, probe, place))
            })
            .collect();
        let acts = attend(&served, &run);
        let posts = feeders.into_iter().flat_map(|feeder| feeder.join().expect("it feeds"));
        (posts.collect::<Vec<f64>>(), acts)
    });
    served.terminate();
    let kept = kept(folder.path(), &run, past.rows.last_s());
    figures.all("rows stored in order, once", kept, Probe::COUNT * ROWS as usize);
    let median_ms = percentile(&mut posts, 0.5);
    figures.note("POST of a row, median", format!("{median_ms:.1} ms"));
    figures.at_most("POST of a row, 99 in 100", percentile(&mut posts, 0.99), POST_MAX_MS, "ms");
    figures.at_most(
        "an act of the person, longest of 15",
        percentile(&mut acts, 1.0),
        ACT_MAX_MS,
        "ms",
    );
    figures.finish();
}

/// How many of the rows that were sent stand in the record, each in its place.
fn kept(data: &std::path::Path, run: &Run, past_s: f64) -> usize {
    let out = data.join("out");
    let exported = program().args(["export", &run.id, typed(&out), "--data", typed(data)]).output();
    assert!(exported.is_ok_and(|output| output.status.success()), "the run can be exported");
    let rows = store::folder::read_record(&out).expect("what was exported can be read").rows;
    assert!(rows.readings.is_sorted_by_key(|row| row.0), "in the order of time");
    let of_probe = |probe: Probe| {
        let stored = rows.readings.iter().filter(|row| row.0 > past_s);
        let stored: Vec<f64> = stored.filter_map(|row| row.1.get(probe)).collect();
        let sent: Vec<f64> = (0..ROWS).map(|place| value(probe, place)).collect();
        if stored == sent {
            sent.len()
        } else {
            stored.iter().filter(|v| sent.contains(v)).count() - 1
        }
    };
    Probe::ALL.into_iter().map(of_probe).sum()
}
