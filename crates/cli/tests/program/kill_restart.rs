//! What was acknowledged survives kill -9; what was changed or cut off afterwards is found.

use std::path::Path;

use serde_json::json;

use crate::served::Served;
use crate::{printed, run, typed};

/// A real run with its heater on, and what was acknowledged: readings and actions.
fn attended(served: &Served) -> (String, usize, usize) {
    let mut plan = served.get("/api/house")["example"]["plans"][0].clone();
    plan.as_object_mut().expect("a plan").remove("id");
    let made = served.post("/api/runs", &json!({ "plan": plan, "mode": "real" }));
    let id = made["id"].as_str().expect("an id").to_owned();
    let actions = [
        json!({ "action": "heater", "value": 3000.0, "unit": "W" }),
        json!({ "action": "coolant", "value": 1.8, "unit": "l_per_min" }),
        json!({ "action": "note", "note": "lid is tight" }),
    ];
    for action in &actions {
        served.post(&format!("/api/runs/{id}/actions"), action);
    }
    let mut rows = 0;
    for tenth in 0..40 {
        let head_c = 17.0 + f64::from(tenth) / 10.0;
        let row = json!({ "rows": [{ "head_c": head_c, "pot_c": 20.0 + head_c }] });
        let answer = served.post(&format!("/api/runs/{id}/readings"), &row);
        assert_eq!(answer["accepted"], 1, "{answer}");
        rows += 1;
    }
    (id, rows, actions.len())
}

#[test]
fn nothing_acknowledged_is_lost_when_the_server_is_killed() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let (id, rows, actions) = attended(&served);
    served.kill();

    let served = Served::start(folder.path());
    let run = served.get(&format!("/api/runs/{id}"));
    let times = run["readings"]["time_s"].as_array().expect("columns of readings");
    assert!(!times.is_empty(), "{run}");
    let listed = served.get("/api/runs");
    assert!(listed.to_string().contains(&id), "{listed}");
    let after = json!({ "action": "here" });
    served.post(&format!("/api/runs/{id}/actions"), &after);
    served.kill();

    let out = folder.path().join("out");
    printed(&["export", &id, typed(&out), "--data", typed(folder.path())]);
    let lines = |name: &str| {
        let text = std::fs::read_to_string(out.join(name)).expect(name);
        text.lines().count() - 1
    };
    assert_eq!(lines("readings.csv"), rows);
    assert_eq!(lines("actions.csv"), actions + 1);
    let verified = printed(&["verify", "--data", typed(folder.path()), "--json"]);
    assert!(verified.contains("\"ok\": true"), "{verified}");
}

/// Opens the record from outside, takes the guards off and changes something.
fn tamper(data: &Path, sql: &str) {
    let connection = rusqlite::Connection::open(data.join("middlecut.sqlite")).expect("a record");
    let guards: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        .and_then(|mut found| found.query_map([], |row| row.get(0))?.collect())
        .expect("the schema can be read");
    for guard in guards {
        connection.execute_batch(&format!("DROP TRIGGER \"{guard}\"")).expect("a trigger goes");
    }
    let changed = connection.execute(sql, []).expect("the change is made");
    assert!(changed > 0, "nothing was changed by {sql}");
}

/// Verifies a record that is not whole; returns what was said.
fn found(data: &Path) -> String {
    let output = run(&["verify", "--data", typed(data)]);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.starts_with("error: ") && said.contains("\nhint: "), "{said}");
    said
}

#[test]
fn a_changed_byte_and_a_cut_tail_are_named() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let (id, ..) = attended(&served);
    served.kill();
    printed(&["verify", "--data", typed(folder.path())]);

    let copy = tempfile::tempdir().expect("a test folder can be made");
    printed(&[
        "backup",
        typed(&copy.path().join("middlecut.sqlite")),
        "--data",
        typed(folder.path()),
    ]);
    let entry = format!("run_id = '{id}' AND number = 5");
    let byte =
        "UPDATE entry SET payload = substr(payload, 1, 9) || '~' || substr(payload, 11) WHERE";
    tamper(copy.path(), &format!("{byte} {entry}"));
    let said = found(copy.path());
    assert!(said.contains(&id) && said.contains("entry 5"), "{said}");

    let last = format!("(SELECT max(number) FROM entry WHERE run_id = '{id}')");
    tamper(folder.path(), &format!("DELETE FROM entry WHERE run_id = '{id}' AND number = {last}"));
    let said = found(folder.path());
    assert!(said.contains(&id), "{said}");
}
