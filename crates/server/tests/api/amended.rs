//! Taken back, corrected, moved and entered late: by two people who cross, after the end, after a
//! restart; readings by hand like any act.

use serde_json::{Value, json};

use crate::acts::{Run, heated};
use crate::common::{NOON_MS, start_at};
use crate::runs::run;

fn step(run: &Run, to: u64) {
    for step in 1..=to {
        run.begin(step);
        run.server.pass_ms(5000);
    }
}

fn channel(run: &Run, name: &str) -> Value {
    let shown = run.shown();
    let channels = shown["knowledge"]["channels"].as_array().expect("channels");
    channels.iter().find(|one| one["name"] == name).expect("a channel").clone()
}

#[test]
fn a_step_taken_back_takes_its_corrections_with_it_also_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let server = start_at(folder.path(), NOON_MS);
    let plan = crate::common::plan(&server);
    let ask = json!({"plan": plan, "mode": "real", "started": true});
    let id = server.post("/api/runs", &ask).json()["id"].as_str().unwrap().to_owned();
    server.pass_ms(5000);
    let post = |what: &str, ask: &Value| server.post(&format!("/api/runs/{id}/{what}"), ask);
    let begun = post("begin", &json!({"step": 1, "after": 0})).json();
    let acts = |shown: Value| shown["actions"].as_array().unwrap().clone();
    let own = |row: &Value| begun["entries"].as_array().unwrap().contains(&row["entry"]);
    let act = acts(run(&server, &id)).into_iter().find(|row| own(row) && row["action"] != "step");
    let act = act.expect("heater, take-off or jar with the step");
    let value = act["value"].as_f64().map_or(1.0, |value| value + 1.0);
    let mut right = json!({"action": act["action"], "value": value, "sure": true});
    for key in ["unit", "note"] {
        right[key] = act[key].clone();
    }
    let corrected = post("correct", &json!({"entry": act["entry"], "action": right}));
    assert_eq!(corrected.status, 200, "{corrected:?}");
    assert_eq!(post("undo", &json!({"entry": begun["entry"]})).status, 200);
    let (held, log) = (acts(run(&server, &id)), server.get(&format!("/api/runs/{id}/log")).json());
    assert!(held.iter().all(|row| row["entry"] != corrected.json()["entry"]), "{held:?}");
    let lines = log["entries"].as_array().unwrap();
    let line = lines.iter().find(|line| line["entry"] == corrected.json()["entry"]).unwrap();
    assert_eq!(line["can"], json!({"undo": false, "correct": false}), "struck through: {line}");
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 5000);
    assert_eq!(acts(run(&server, &id)), held, "the record says the same");
}

#[test]
fn what_a_person_read_is_asked_about_corrected_moved_and_taken_back() {
    let run = heated();
    run.server.pass_ms(60_000);
    let read = |celsius: f64| json!({"rows": [{"head_c": celsius}], "by_hand": true});
    let first = run.ok("readings", &read(21.4));
    run.server.pass_ms(10_000);
    let asked = run.post("readings", &read(214.0));
    assert_eq!((asked.status, asked.json()["code"].as_str()), (409, Some("unlikely")), "{asked:?}");
    assert_eq!(
        (&asked.json()["suggest"], &asked.json()["field"]),
        (&json!(21.4), &json!("head_c"))
    );
    let wrong = run.ok("readings", &read(27.1));
    run.server.pass_ms(2000);
    run.ok("actions", &json!({"action": "here"}));
    assert_eq!(channel(&run, "head_c")["value"], 27.1);
    let right = json!({"entry": wrong["entry"], "reading": {"head_c": 21.7}});
    let corrected = run.ok("correct", &right);
    assert_eq!(channel(&run, "head_c")["value"], 21.7);
    // It was half a minute ago, and then it was not read at all.
    let earlier = json!({"entry": corrected["entry"], "reading": {"head_c": 21.7, "time_s": 30}});
    let moved = run.ok("correct", &earlier);
    let line = |entry: &Value| run.log().into_iter().find(|line| line["entry"] == *entry).unwrap();
    assert_eq!(line(&moved["entry"])["time_s"], 30.0);
    assert_eq!(line(&wrong["entry"])["words"], "Read by hand: head thermometer 27.1 °C");
    run.ok("undo", &json!({"entry": moved["entry"]}));
    run.ok("undo", &json!({"entry": first["entry"]}));
    assert_eq!(channel(&run, "head_c")["value"], Value::Null, "nothing was read");
    let two = json!({"rows": [{"head_c": 20}, {"head_c": 21}], "by_hand": true});
    assert_eq!(run.code("readings", &two), "value_out_of_range");
}

#[test]
fn what_was_forgotten_is_entered_after_the_end_at_its_own_time() {
    let run = heated();
    step(&run, 2);
    run.server.pass_ms(60_000);
    run.ok("end", &json!({}));
    let gauge = |time_s: Value| json!({"action": "gauge", "value": 88, "unit": "vol_at_20", "time_s": time_s, "sure": true});
    for (time_s, code) in [(Value::Null, "run_ended"), (json!(9000), "value_out_of_range")] {
        assert_eq!(run.code("actions", &gauge(time_s)), code);
    }
    let end_s = run.shown()["ended"]["time_s"].clone();
    let late = run.ok("actions", &gauge(json!(20)));
    run.ok("readings", &json!({"rows": [{"head_c": 22, "time_s": 12}], "by_hand": true}));
    let size = run.ok("jar_size", &json!({"ml": 300}));
    run.ok("correct", &json!({"entry": size["entry"], "ml": 350}));
    let shown = run.shown();
    assert_eq!((&shown["jar_size_ml"], &shown["ended"]["time_s"]), (&json!(350.0), &end_s));
    assert_eq!(shown["gauges"][0]["time_s"], 20.0);
    let jar = json!({"jar": 1, "start_s": 10, "end_s": 9000, "volume_ml": 20, "sure": true});
    assert_eq!(run.code("jars", &jar), "value_out_of_range");
    let moved =
        json!({"action": "gauge", "value": 88, "unit": "vol_at_20", "time_s": 25, "sure": true});
    run.ok("correct", &json!({"entry": late["entry"], "action": moved}));
    assert_eq!(run.shown()["gauges"][0]["time_s"], 25.0);
    for now in [
        json!({"action": "here", "time_s": 20}),
        json!({"action": "seen", "note": "no_readings", "time_s": 20}),
    ] {
        assert_eq!(run.code("actions", &now), "run_ended", "of now nothing can be said");
    }
}

#[test]
fn two_people_who_cross_are_told_what_the_other_did() {
    let run = heated();
    let note = |words: &str| json!({"action": "note", "note": words});
    let mut said = note("glue");
    said["key"] = json!("1");
    let entry = run.ok("actions", &said)["entry"].clone();
    said["ago_s"] = json!(3);
    assert_eq!(run.ok("actions", &said)["entry"], entry, "it waited, and is the same");
    // Another device that counts its keys up, too.
    let mut other = note("pears");
    other["key"] = json!("1");
    assert_eq!(run.code("actions", &other), "key_used");
    assert_eq!(run.code("readings", &json!({"rows": [{"head_c": 20}], "key": "1"})), "key_used");
    let first = run.ok("correct", &json!({"entry": entry, "action": note("pear drops")}));
    let second = run.post("correct", &json!({"entry": entry, "action": note("nail varnish")}));
    assert_eq!((second.status, second.json()["code"].as_str()), (409, Some("corrected")));
    let instead = format!("{} holds instead", first["entry"]);
    assert!(second.json()["detail"].as_str().unwrap().contains(&instead), "{second:?}");
    run.ok("undo", &json!({"entry": first["entry"]}));
    let again = run.ok("undo", &json!({"entry": first["entry"]}));
    assert_eq!(again["already"], true);
    let late = json!({"entry": first["entry"], "action": note("tar")});
    assert_eq!(run.code("correct", &late), "taken_back");
}
