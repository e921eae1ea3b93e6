//! Rows that say when they were taken: each at its own time, none from before the run.

use std::time::Duration;

use sense::Probe;

use crate::common::{NOON_MS, real_run};
use crate::feeding::{Shed, replace, source};

#[test]
fn rows_go_where_their_time_says_and_none_from_before_the_run() {
    let shed = Shed::new();
    let table = shed.path("air.csv");
    let id = real_run(shed.server());
    shed.server().pass_ms(10_000);
    let rest = "every_s = 0.1\ntime = \"when\"";
    shed.feed(&source("air", "file", &table, rest, "pressure_hpa", "field = \"pressure\""));
    shed.why("air", "pressure_hpa", "cannot be read");
    // Seconds of run time, and what was read; the run began at noon.
    let rows = [(-2.0, 1000), (4.0, 1001), (7.5, 1002), (10.0, 1003), (30.0, 1004)];
    let noon_s = NOON_MS as f64 / 1000.0;
    let row = |(time_s, hpa): (f64, i32)| format!("{},{hpa}\n", noon_s + time_s);
    let text = format!("when,pressure\n{}", rows.map(row).concat());
    replace(&table, text.as_bytes());
    shed.why("air", "pressure_hpa", "sent a time 20 s ahead");
    shed.rows(3);
    // The same rows in another file of that name are no news, a later one is.
    shed.server().pass_ms(2000);
    replace(&table, format!("{}{}", text, row((11.5, 1005))).as_bytes());
    shed.rows(4);
    std::thread::sleep(Duration::from_millis(300));
    let kept = [(4.0, 1001.0), (7.5, 1002.0), (10.0, 1003.0), (11.5, 1005.0)];
    assert_eq!(shed.stored(&id, Probe::Pressure), kept);
}
