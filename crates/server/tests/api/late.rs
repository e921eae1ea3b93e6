//! Rows that come late, and runs that wait to be opened again: none holds anybody up.

use std::time::{Duration, Instant};

use serde_json::json;
use store::{Entry, NewRun, RunId, RunMode, Store};

use crate::common::{NOON_MS, plan, real_run, start, start_at, start_estimating_at};
use crate::runs::{rehearsal, run, wait_for};

#[test]
fn ten_feeders_a_second_and_a_half_late_lose_no_post_and_hold_up_no_act() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let (readings, actions) =
        (format!("/api/runs/{id}/readings"), format!("/api/runs/{id}/actions"));
    // Three hours are there already.
    server.pass_ms(10_800_000);
    let rows: Vec<_> = (0..2160)
        .map(|row| json!({"time_s": 5 * row, "head_c": 78.2, "pot_c": 80 + row / 200}))
        .collect();
    assert_eq!(server.post(&readings, &json!({"rows": rows})).status, 200);
    for second in 0..40 {
        server.pass_ms(1000);
        let now_s = f64::from(10_800 + second + 1);
        for feeder in 0..10 {
            let row = json!({"time_s": now_s - 1.5, "head_c": 78.2 + 0.01 * f64::from(feeder)});
            let answer = server.post(&readings, &json!({"rows": [row]}));
            assert_eq!(answer.status, 200, "{answer:?}");
        }
        if second % 10 == 5 {
            let answer = server.post(&actions, &json!({"action": "note", "note": "looked"}));
            assert_eq!(answer.status, 200, "{answer:?}");
        }
    }
    server.stop();
    let state = Store::open_read_only(folder.path()).unwrap().run(&RunId::new(&id)).unwrap();
    assert_eq!(state.rows.readings.len(), 2160 + 400);
}

#[test]
fn a_real_run_goes_on_by_itself_after_twenty_imports_and_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    server.pass_ms(30_000);
    server.stop();
    let store = Store::open(folder.path()).unwrap();
    for number in 0..40 {
        let mut imported =
            NewRun::new(store.run(&RunId::new(&id)).unwrap().plan, RunMode::Imported, false);
        imported.plan.title = format!("From a folder {number}");
        let made = store.create_run(&imported, NOON_MS + number).unwrap();
        let begun = Entry::Started { started_ms: NOON_MS, steady: None };
        store.append(&made, &begun, NOON_MS, NOON_MS).unwrap();
    }
    drop(store);
    let server = start_at(folder.path(), NOON_MS + 60_000);
    // Nobody asks for the run: that it watches the clock shows in its record alone.
    let store = Store::open_read_only(folder.path()).unwrap();
    let noticed = || store.run(&RunId::new(&id)).unwrap().anchors.len() > 1;
    let until = Instant::now() + Duration::from_mins(1);
    while !noticed() && Instant::now() < until {
        server.hand.step_wall_ms(60_000);
        std::thread::sleep(Duration::from_millis(100));
    }
    assert!(noticed(), "the real run was not resumed");
}

#[test]
fn opening_an_ended_run_costs_no_fit() {
    let folder = tempfile::tempdir().unwrap();
    let server = start_estimating_at(folder.path(), NOON_MS);
    let id = rehearsal(&server, 2000.0, true);
    let made = |run: &serde_json::Value| run["knowledge"]["estimate_made_at_s"].as_f64();
    wait_for(&server, &id, "an estimate", |run| made(run).is_some());
    assert_eq!(server.post(&format!("/api/runs/{id}/end"), &json!({})).status, 200);
    let before = run(&server, &id);
    server.stop();
    let server = start_estimating_at(folder.path(), NOON_MS);
    let after = run(&server, &id);
    assert_eq!(after["ended"], before["ended"]);
    assert_eq!(after["events"], before["events"]);
    assert_eq!(made(&after), None, "nobody waits for an estimate of what is over");
}

#[test]
fn a_plan_is_forecast_the_same_by_the_route_and_by_the_run_made_of_it() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let forecast = server.post("/api/forecast", &json!({"plan": plan(&server)})).json();
    let shown = run(&server, &real_run(&server));
    assert_eq!(shown["forecast"]["totals"], forecast["totals"]);
}

#[test]
fn what_one_browser_records_every_browser_hears() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let mut other = server.follow(&id, None);
    // The first message says that it is followed: what is recorded from here on must be heard.
    assert_eq!(other.receive().event, "knowledge");
    server.pass_ms(5000);
    let act = |path: &str, body| {
        let answer = server.post(&format!("/api/runs/{id}/{path}"), &body);
        assert_eq!(answer.status, 200, "{answer:?}");
        answer.json()["entry"].as_u64().unwrap()
    };
    let jar = act("actions", json!({"action": "jar", "value": 1}));
    assert_eq!(other.next_of("recorded").data["entry"], jar);
    let undone = act("undo", json!({"entry": jar}));
    assert_eq!(other.next_of("recorded").data["entry"], undone);
    // One who was away compares the number that comes with the advice.
    assert_eq!(server.follow(&id, None).receive().data["recorded"], undone);
}

#[test]
fn a_real_run_begins_however_many_rehearsals_are_open() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let ask = json!({"plan": plan(&server), "mode": "rehearsal", "speed": 0});
    let mut refused = None;
    for _ in 0..64 {
        let answer = server.post("/api/runs", &ask);
        if answer.status != 201 {
            refused = Some(answer);
            break;
        }
    }
    let refused = refused.expect("rehearsals are bounded");
    assert_eq!((refused.status, refused.json()["code"].as_str()), (409, Some("too_many_runs")));
    let id = real_run(&server);
    assert_eq!(run(&server, &id)["started"], true);
}
