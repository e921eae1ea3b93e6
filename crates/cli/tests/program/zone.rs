//! A computer that is carried to another zone, or whose clocks are put back: a run keeps its own.

use std::path::Path;

use serde_json::{Value, json};

use crate::served::{Served, program};

/// A server in a zone, as POSIX writes it.
fn in_zone(zone: &str, data: &Path) -> Served {
    let mut program = program();
    program.env("TZ", zone);
    Served::start_by(program, data)
}

/// What a run says of its zone: its offset in minutes, and when its plan says it began.
fn told(server: &Served, run: &str) -> (Value, String) {
    let shown = server.get(&format!("/api/runs/{run}"));
    let start = shown["plan"]["start"].as_str().expect("a start").to_owned();
    (shown["zone_offset_minutes"].clone(), start)
}

#[test]
fn a_run_keeps_the_zone_it_was_begun_in_whatever_zone_the_computer_is_in_later() {
    let folder = tempfile::tempdir().expect("a folder");
    // Two hours east; then a zone in the west, and one whose clocks go forward and back.
    let server = in_zone("XST-2", folder.path());
    let mut plan = server.get("/api/house")["example"]["plans"][0].clone();
    plan.as_object_mut().expect("a plan").remove("id");
    let begun = server.post("/api/runs", &json!({"plan": plan, "mode": "real", "started": true}));
    let run = begun["id"].as_str().expect("an id").to_owned();
    let before = told(&server, &run);
    assert_eq!(before.0, json!(120));
    assert!(before.1.ends_with("+02:00"), "{before:?}");
    let time_s = |server: &Served| {
        server.get(&format!("/api/runs/{run}"))["knowledge"]["time_s"].as_f64().expect("a time")
    };
    server.terminate();
    for (zone, now) in [("YST5", json!(-300)), ("CST-1CDT-2,0/0,365/23", json!(120))] {
        let server = in_zone(zone, folder.path());
        assert_eq!(server.get("/api/house")["zone_offset_minutes"], now, "{zone}");
        assert_eq!(told(&server, &run), before, "{zone}");
        assert!(time_s(&server) < 600.0, "{zone}: no hour was added to the run");
        let list = server.get("/api/runs");
        assert!(list.to_string().contains("\"zone_offset_minutes\":120"), "{zone}: {list}");
        let said = server.get(&format!("/api/runs/{run}/log")).to_string();
        assert!(!said.contains("clock was set"), "{zone}: a zone is no step of the clock: {said}");
        server.terminate();
    }
}
