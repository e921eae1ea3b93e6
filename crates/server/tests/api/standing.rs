//! How the record stands is said: a lost end, a damaged file.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::path::Path;

use crate::common::{NOON_MS, Running, plan, start};
use serde_json::{Value, json};
use store::Store;

/// A record with one real run; its folder as it lay while the server still ran.
fn left_behind(to: &Path) -> String {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let text = include_str!("../../../../examples/hollowbank/perry/run.toml");
    let plan = store::folder::parse_plan(text).unwrap();
    let new = store::NewRun::new(plan, store::RunMode::Real, false);
    let run = store.create_run(&new, NOON_MS - 60_000).unwrap();
    for n in 0..20 {
        let note = sense::Action::Note { text: format!("remark {n}") };
        store.append(&run, &store::Entry::Action(0.0, note), NOON_MS, NOON_MS).unwrap();
    }
    for ending in ["sqlite", "sqlite-wal", "seal"] {
        let name = format!("middlecut.{ending}");
        std::fs::copy(folder.path().join(&name), to.join(&name)).unwrap();
    }
    run.to_string()
}

fn record(server: &Running) -> Value {
    let answer = server.get("/api/record");
    assert_eq!(answer.status, 200, "{answer:?}");
    answer.json()
}

#[test]
fn a_lost_end_is_named_until_somebody_says_that_it_is_known() {
    let folder = tempfile::tempdir().unwrap();
    let run = left_behind(folder.path());
    let log = folder.path().join("middlecut.sqlite-wal");
    let bytes = std::fs::read(&log).unwrap();
    std::fs::write(&log, &bytes[..bytes.len() * 3 / 4]).unwrap();
    let server = start(folder.path());
    let said = record(&server);
    assert_eq!(said["stands"], "lost", "{said}");
    let first = said["losses"][0]["first_lost"].as_i64().unwrap();
    assert!(said["words"].as_str().unwrap().contains(&format!("entries {first} to 21")), "{said}");
    assert_eq!(said["kept"].as_array().unwrap().len(), 3);
    let shown = server.get(&format!("/api/runs/{run}")).json();
    let told = |event: &&Value| event["code"] == "record_lost";
    assert_eq!(shown["events"].as_array().unwrap().iter().filter(told).count(), 1);
    // What is recorded now is recorded.
    let note = json!({"text": "again: remark 19"});
    assert_eq!(server.post(&format!("/api/runs/{run}/notes"), &note).status, 200);

    let refused = server.post("/api/record/loss", &json!({"reason": "", "by": "Wren"}));
    assert_eq!(refused.status, 422, "{refused:?}");
    for _ in 0..2 {
        let reason = json!({"reason": "the card was pulled out", "by": "Wren"});
        let said = server.post("/api/record/loss", &reason).json();
        assert_eq!((&said["stands"], &said["losses"][0]["by"]), (&json!("whole"), &json!("Wren")));
    }
    let digest = record(&server)["head"]["digest"].as_str().unwrap().to_owned();
    server.stop();
    let store = Store::open(folder.path()).unwrap();
    assert_eq!(store.verify().unwrap().losses_accepted, 1);
    assert!(store.anchor(&digest).unwrap().is_some());
}

#[test]
fn a_damaged_file_is_shown_as_far_as_it_can_be_read_and_nothing_is_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let run = left_behind(folder.path());
    drop(Store::open(folder.path()).unwrap());
    let file = folder.path().join("middlecut.sqlite");
    let mut bytes = std::fs::read(&file).unwrap();
    let last = bytes.len() - 4096;
    bytes[last..].fill(0x5a);
    std::fs::write(&file, bytes).unwrap();
    let server = start(folder.path());
    let said = record(&server);
    assert_eq!(said["stands"], "unrecorded", "{said}");
    assert!(said["hint"].as_str().unwrap().contains("middlecut restore"), "{said}");
    let listed = server.get("/api/runs?example=false");
    assert!(listed.json().to_string().contains(&run));
    assert_eq!(server.get(&format!("/api/runs/{run}")).status, 200);
    let note = json!({"text": "here"});
    let begin = json!({"plan": plan(&server), "mode": "real"});
    for (path, body) in [(format!("/api/runs/{run}/notes"), note), ("/api/runs".into(), begin)] {
        let refused = server.post(&path, &body);
        assert_eq!((refused.status, &refused.json()["code"]), (503, &json!("record_damaged")));
    }
    assert_eq!(server.get("/").status, 200, "the page answers");
    // The example house is another record.
    let rehearsal = json!({"plan": plan(&server), "mode": "rehearsal", "example": true});
    assert_eq!(server.post("/api/runs", &rehearsal).status, 201);
}
