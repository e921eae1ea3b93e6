//! Alarms told further: by the command that the data folder names, tried by one key, looked back at.

use std::time::{Duration, Instant};

use serde_json::json;

use crate::common::{real_run, start};
use crate::runs::run;

/// Settings whose command adds a line to a file.
fn settings(file: &std::path::Path) -> String {
    let line = "$MIDDLECUT_ALARM_EVENT $MIDDLECUT_ALARM_CODE $MIDDLECUT_ALARM_PRIORITY \
                [$MIDDLECUT_ALARM_CALL]";
    let command = format!("echo \\\"{line}\\\" >> '{}'", file.display());
    format!(
        "[on_alarm]\ncommand = [\"/bin/sh\", \"-c\", \"{command}\"]\nbell = false\n\
         second_person = \"Wren\"\ntest_at_start = false\n"
    )
}

#[test]
fn an_absence_is_told_by_the_command_and_the_second_person_is_called() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("told");
    std::fs::write(folder.path().join("alarms.toml"), settings(&file)).unwrap();
    let server = start(folder.path());
    let told = || std::fs::read_to_string(&file).unwrap_or_default();
    let tested = server.post("/api/alarms/test", &json!({})).json();
    let of = |output: &str| {
        let outputs = tested["outputs"].as_array().unwrap();
        outputs.iter().find(|one| one["output"] == output).unwrap().clone()
    };
    assert_eq!((&of("command")["set"], &of("command")["failed"]), (&json!(true), &json!(null)));
    assert_eq!(of("bell")["set"], false);
    assert_eq!(told(), "test test high []\ntest test high [Wren]\n");
    let id = real_run(&server);
    let heard = |line: &str| {
        let until = Instant::now() + Duration::from_secs(20);
        while !told().contains(line) && Instant::now() < until {
            std::thread::sleep(Duration::from_millis(20));
        }
        assert!(told().contains(line), "{line}: {}", told());
    };
    for (ms, line) in [
        (601_000, "raised attendant_absent high []"),
        (120_000, "raised attendant_absent critical []"),
        (60_000, "second_person attendant_absent critical [Wren]"),
    ] {
        server.pass_ms(ms);
        run(&server, &id);
        heard(line);
    }
    for (act, status, code) in [
        (json!({"note": "attendant_absent: I am near", "value": 10}), 409, "not_quiet"),
        (json!({"note": "data_stale: cable", "value": 15}), 409, "not_quiet"),
        (json!({"note": "data_stale", "value": 10}), 409, "not_quiet"),
        (json!({"note": "no_such: cable", "value": 10}), 422, "value_out_of_range"),
    ] {
        let act = json!({"action": "quiet", "note": act["note"], "value": act["value"]});
        let refused = server.post(&format!("/api/runs/{id}/actions"), &act);
        assert_eq!((refused.status, &refused.json()["code"]), (status, &json!(code)), "{act}");
    }
    let seen = json!({"action": "seen", "note": "attendant_absent", "by": "Wren"});
    let known = run(&server, &id)["knowledge"].clone();
    let now = &known["alarm_list"][0];
    assert_eq!(
        (&now["code"], &now["state"]),
        (&json!("attendant_absent"), &json!("active_unseen"))
    );
    let codes: Vec<_> =
        known["suppressed"].as_array().unwrap().iter().map(|one| one["code"].clone()).collect();
    assert!(codes.contains(&json!("coolant_loss")), "{codes:?}");
    let review = server.get(&format!("/api/runs/{id}/alarms")).json();
    assert_eq!(review["worst"][0]["code"], "attendant_absent");
    assert_eq!((&review["alarms"], &review["second_person"]), (&json!(2), &json!(1)));
    assert_eq!(server.post(&format!("/api/runs/{id}/actions"), &seen).status, 200);
    let log = server.get(&format!("/api/runs/{id}/log")).json();
    let words = log["entries"][0]["words"].as_str().unwrap();
    assert_eq!(words, "Alarm seen: nobody at the still, by Wren");
    let state = run(&server, &id)["knowledge"]["alarm_list"][0]["state"].clone();
    assert_eq!(state, "active_seen");
    assert_eq!(server.post(&format!("/api/runs/{id}/end"), &json!({})).status, 200);
    let over = run(&server, &id)["knowledge"].clone();
    assert_eq!((&over["alarms"], &over["alarm_list"]), (&json!([]), &json!([])), "none stands");
    let outputs = server.get("/api/alarms/outputs").json();
    assert_eq!((&outputs["second_person"], &outputs["dropped"]), (&json!("Wren"), &json!(0)));
}

#[test]
fn settings_that_are_refused_are_told_and_stop_nothing() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("alarms.toml"), "[on_alarm]\nbel = true\n").unwrap();
    let outputs = start(folder.path()).get("/api/alarms/outputs").json();
    let refused = outputs["refused"].as_str().unwrap();
    assert!(refused.contains("alarms.toml:2: on_alarm.bel"), "{refused}");
    assert_eq!((&outputs["bell"], &outputs["command"]), (&json!(true), &json!(false)));
}

#[test]
fn a_feeder_that_sends_each_minute_raises_no_alarm_a_minute() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    for minute in 0..20 {
        server.pass_ms(60_000);
        let rows: Vec<_> = (0..6)
            .map(|row| {
                let time_s = 60 * minute + 10 * row + 5;
                json!({"time_s": time_s, "head_c": 20.0 + 0.01 * f64::from(row), "pot_c": 30.0})
            })
            .collect();
        // The server looks at its clock before the rows come.
        run(&server, &id);
        let answer = server.post(&format!("/api/runs/{id}/readings"), &json!({"rows": rows}));
        assert_eq!(answer.status, 200, "{answer:?}");
    }
    let events = run(&server, &id)["events"].clone();
    let stale = |event: &&serde_json::Value| event["code"] == "data_stale";
    let stale = events.as_array().unwrap().iter().filter(stale).count();
    assert!(stale <= 2, "{stale}: {events}");
}
