//! Estimates in a run: they come with what is known, outlast a stop, and hold nobody up.

use serde_json::{Value, json};

use crate::common::{NOON_MS, Running, real_run, start_estimating_at};
use crate::one_number::Moment;
use crate::runs::{rehearsal, run, wait_for};

fn set_speed(server: &Running, id: &str, speed: f64) {
    let answer =
        server.send("PUT", &format!("/api/runs/{id}/speed"), &json!({"speed": speed})).status;
    assert_eq!(answer, 200);
}

/// Whether five numbers are in order.
fn in_order(quantiles: &Value) -> bool {
    let levels = ["p025", "p10", "p50", "p90", "p975"];
    let numbers: Vec<f64> =
        levels.iter().map(|level| quantiles[*level].as_f64().expect("a number")).collect();
    numbers.windows(2).all(|pair| pair[0] <= pair[1])
}

#[test]
fn a_rehearsal_says_when_hearts_should_end_and_says_it_again_after_a_stop() {
    let folder = tempfile::tempdir().unwrap();
    let server = start_estimating_at(folder.path(), NOON_MS);
    let id = rehearsal(&server, 2000.0, true);
    assert!(
        run(&server, &id)["knowledge"]["estimate_made_at_s"].is_null(),
        "there is no vapour yet"
    );
    let made = |run: &Value| run["knowledge"]["estimate_made_at_s"].as_f64();
    wait_for(&server, &id, "an outlook in hearts", |run| {
        made(run).is_some() && run["knowledge"]["state"] == "hearts"
    });
    set_speed(&server, &id, 0.0);
    Moment::of(&server, &id).check();
    let before = run(&server, &id);
    let (now_s, made_s) = (before["knowledge"]["time_s"].as_f64().unwrap(), made(&before).unwrap());
    assert!(made_s % 60.0 == 0.0 && (60.0..120.0).contains(&(now_s - made_s)), "{made_s} {now_s}");
    let known = &before["knowledge"];
    assert!(in_order(&known["ends"][0]["at"]), "{known}");
    assert!(in_order(&known["charge"]["litres"]), "{known}");
    server.stop();
    let server = start_estimating_at(folder.path(), NOON_MS + 1000);
    let after = wait_for(&server, &id, "the same outlook", |run| made(run).is_some());
    assert_eq!(made(&after), Some(made_s));
    set_speed(&server, &id, 600.0);
    wait_for(&server, &id, "a newer outlook", |run| made(run).is_some_and(|s| s > made_s));
}

/// What a small still shows: it boils at 2400 s.
fn row(time_s: u32) -> Value {
    let t = f64::from(time_s);
    let (head_c, pot_c) = if t < 2400.0 { (20.0, 20.0 + t * 0.03) } else { (78.4, 92.0) };
    json!({"time_s": t, "head_c": head_c, "pot_c": pot_c})
}

#[test]
fn a_real_run_that_was_out_of_sight_for_hours_estimates_none_of_them() {
    let folder = tempfile::tempdir().unwrap();
    let server = start_estimating_at(folder.path(), NOON_MS);
    let id = real_run(&server);
    let act = |body: Value| {
        let answer = server.post(&format!("/api/runs/{id}/actions"), &body);
        assert_eq!(answer.status, 200, "{answer:?}");
    };
    act(json!({"action": "heater", "value": 2000, "unit": "W"}));
    server.pass_ms(3_600_000);
    let rows: Vec<Value> = (0..=360).map(|i| row(10 * i)).collect();
    let answer = server.post(&format!("/api/runs/{id}/readings"), &json!({"rows": rows}));
    assert_eq!(answer.status, 200, "{answer:?}");
    act(json!({"action": "step", "note": "equalise", "time_s": 2500}));
    let asks = |run: &Value| !run["knowledge"]["estimate_made_at_s"].is_null();
    server.pass_ms(120_000);
    let first = wait_for(&server, &id, "an outlook", asks);
    server.pass_ms(20_000_000);
    let caught_up = |run: &Value| run["knowledge"]["time_s"].as_f64() > Some(23_000.0);
    let after = wait_for(&server, &id, "run time as the clock has it", caught_up);
    // Of the hours in between next to nothing is estimated: what stands is from before, or of now.
    let made_s = |run: &Value| run["knowledge"]["estimate_made_at_s"].as_f64().expect("a time");
    let (before_s, made_s) = (made_s(&first), made_s(&after));
    assert!(made_s <= before_s + 120.0 || made_s >= 23_000.0 - 300.0, "{before_s} then {made_s}");
}
