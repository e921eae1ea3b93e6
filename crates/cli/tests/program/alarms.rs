//! `middlecut alarms`: outputs that are tried, a refused file by line and key.

use std::fs;

use serde_json::Value;

use crate::{run, typed};

#[test]
fn outputs_are_tried_and_one_that_does_not_tell_is_a_failure() {
    let folder = tempfile::tempdir().unwrap();
    let arguments = ["alarms", "test", "--data", typed(folder.path()), "--json"];
    let write = |text: &str| fs::write(folder.path().join("alarms.toml"), text).unwrap();
    write("[on_alarm]\ncommand = [\"/bin/true\"]\nbell = false\n");
    let output = run(&arguments);
    assert!(output.status.success(), "{output:?}");
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&json["outputs"][1]["output"], &json["outputs"][1]["set"]),
        (&"command".into(), &true.into())
    );
    write("[on_alarm]\ncommand = [\"/bin/false\"]\nbell = false\n");
    let output = run(&arguments);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let refusal: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert!(refusal["error"]["message"].as_str().unwrap().contains("command"), "{refusal}");
    write("[on_alarm]\nbell = false\n");
    assert_eq!(run(&arguments).status.code(), Some(1), "nothing tells");
    write("[on_alarm]\nlimit = 3\n");
    let output = run(&arguments);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    let refusal: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert!(refusal["error"]["message"].as_str().unwrap().contains("alarms.toml:2"), "{refusal}");
}
