//! `middlecut feeds check`: a refused file by line and key, and what came from sound sources.

use std::fs;

use serde_json::{Value, json};

use crate::{run, typed};

const FEEDS: &str = "format = 1\n[[still]]\nname = \"Shed\"\n[[still.source]]\nname = \"head\"\n\
                     kind = \"one_wire\"\npath = \"PATH\"\n[[still.source.value]]\n\
                     channel = \"head_c\"\n";

#[test]
fn sound_feeds_are_shown_and_a_silent_channel_is_a_failure() {
    let folder = tempfile::tempdir().unwrap();
    let probe = folder.path().join("w1_slave");
    fs::write(&probe, "4b 01 : crc=e1 YES\n4b 01 t=20687\n").unwrap();
    fs::write(folder.path().join("feeds.toml"), FEEDS.replace("PATH", typed(&probe))).unwrap();
    let arguments = ["feeds", "check", "--data", typed(folder.path()), "--seconds", "1"];
    let output = run(&arguments);
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{output:?}");
    for words in ["head_c", "20.69 °C", "yes"] {
        assert!(text.contains(words), "{text}");
    }
    fs::write(&probe, "4b 01 : crc=e1 NO\n4b 01 t=20687\n").unwrap();
    let output = run(&[&arguments[..], &["--json"]].concat());
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&json["values"][0]["speaks"], &json["values"][0]["value"]),
        (&json!(false), &Value::Null)
    );
    assert!(json["values"][0]["why"].as_str().unwrap().contains("CRC NO"), "{json}");
    let refusal: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert!(refusal["error"]["message"].as_str().unwrap().contains("head_c of Shed"), "{refusal}");
}

#[test]
fn a_refused_file_is_told_by_line_and_key() {
    let folder = tempfile::tempdir().unwrap();
    let arguments = ["feeds", "check", "--data", typed(folder.path()), "--json"];
    assert_eq!(run(&arguments).status.code(), Some(2), "no file");
    fs::write(folder.path().join("feeds.toml"), FEEDS.replace("head_c", "heat_c")).unwrap();
    let output = run(&arguments);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    let refusal: Value = serde_json::from_slice(&output.stderr).unwrap();
    let error = &refusal["error"];
    assert_eq!(error["field"], "still[1].source[1].value[1].channel");
    assert_eq!(error["line"], 9);
    assert_eq!(error["value"], "\"heat_c\"");
    assert!(error["bound"].as_str().unwrap().contains("head_c"), "{error}");
    let output = run(&[&arguments[..4], &["--seconds", "0"]].concat());
    assert_eq!(output.status.code(), Some(2), "{output:?}");
}
