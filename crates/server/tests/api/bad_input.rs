//! Wrong requests: each gets a clear refusal, and the server goes on.

use crate::common::{plan, real_run, start};
use serde_json::{Value, json};

/// Changes one key of a plan.
fn with(plan: &Value, at: &str, value: Value) -> Value {
    let mut plan = plan.clone();
    *plan.pointer_mut(at).unwrap_or_else(|| panic!("{at}")) = value;
    plan
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn every_wrong_body_is_refused_with_a_reason() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let plan = plan(&server);
    let id = real_run(&server);
    server.pass_ms(100_000);
    let actions = format!("/api/runs/{id}/actions");
    let readings = format!("/api/runs/{id}/readings");
    let jars = format!("/api/runs/{id}/jars");
    let mut unknown = plan.clone();
    unknown["still"]["packing"] = json!("rings");
    let mut missing = plan.clone();
    missing["charge"].as_object_mut().unwrap().remove("litres");
    let run = |plan: Value| json!({"plan": plan, "mode": "rehearsal"});
    let cases: Vec<(&str, String, Value, u16)> = vec![
        ("POST", "/api/bench/gauge".into(), json!({"reading": "forty", "celsius": 20}), 400),
        ("POST", "/api/bench/gauge".into(), json!({"reading": 300, "celsius": 20}), 422),
        ("POST", "/api/bench/gauge".into(), json!({"reading": 40, "celsius": 140}), 422),
        ("POST", "/api/bench/gauge".into(), json!({"reading": 40}), 400),
        ("POST", "/api/bench/gauge".into(), json!({"reading": 40, "celsius": 20, "glass": 1}), 400),
        (
            "POST",
            "/api/bench/gauge".into(),
            json!({"reading": 40, "celsius": 20, "scale": "x"}),
            400,
        ),
        (
            "POST",
            "/api/bench/gauge".into(),
            json!({"reading": 40, "celsius": 20, "reading_sd": -1}),
            422,
        ),
        ("POST", "/api/bench/reduce".into(), json!({"litres": -2, "from": 90, "to": 40}), 422),
        ("POST", "/api/bench/reduce".into(), json!({"litres": 2, "from": 40, "to": 90}), 422),
        (
            "POST",
            "/api/bench/steps".into(),
            json!({"litres": 5, "from": 64, "to": 43, "steps": 0}),
            422,
        ),
        ("POST", "/api/bench/steps".into(), json!({"litres": 5, "from": 64}), 400),
        (
            "POST",
            "/api/bench/bottling".into(),
            json!({"litres": 20, "reading": 40, "celsius": 20, "step_vol": 0.1, "label": 40, "size_ml": 500, "country": "mars"}),
            422,
        ),
        ("POST", "/api/bench/blend".into(), json!({"parts": []}), 422),
        (
            "POST",
            "/api/bench/blend".into(),
            json!({"parts": [{"litres": 1, "strength_vol": 101}]}),
            422,
        ),
        ("POST", "/api/bench/liquid".into(), json!({}), 422),
        ("POST", "/api/bench/liquid".into(), json!({"vol": 40, "mass": 30}), 422),
        ("POST", "/api/bench/liquid".into(), json!({"vol": 40, "pressure_hpa": 0}), 422),
        (
            "POST",
            "/api/forecast".into(),
            json!({"plan": with(&plan, "/charge/strength_vol", json!(300))}),
            422,
        ),
        (
            "POST",
            "/api/forecast".into(),
            json!({"plan": with(&plan, "/charge/litres", json!(-3))}),
            422,
        ),
        ("POST", "/api/forecast".into(), json!({"plan": with(&plan, "/step", json!([]))}), 422),
        ("POST", "/api/forecast".into(), json!({"plan": unknown}), 400),
        ("POST", "/api/forecast".into(), json!({"plan": missing}), 400),
        ("POST", "/api/forecast".into(), json!([1, 2]), 400),
        ("POST", "/api/runs".into(), run(with(&plan, "/start", json!("tomorrow"))), 422),
        ("POST", "/api/runs".into(), json!({"plan": plan, "mode": "imagined"}), 400),
        (
            "POST",
            "/api/runs".into(),
            json!({"plan": plan, "mode": "rehearsal", "speed": 10_001}),
            422,
        ),
        ("POST", "/api/runs".into(), json!({"plan": plan, "mode": "real", "speed": 2}), 422),
        ("POST", "/api/runs".into(), json!({"plan": plan, "mode": "real", "example": true}), 422),
        (
            "PUT",
            "/api/house/own".into(),
            json!({"name": "x", "kind": "column", "boiler_litres": -5, "elements_watts": [500]}),
            422,
        ),
        (
            "PUT",
            "/api/house/own".into(),
            json!({"name": "x", "kind": "column", "boiler_litres": 25, "elements_watts": [500], "overrides": {"colour": 3}}),
            422,
        ),
        (
            "PUT",
            "/api/house/own".into(),
            json!({"name": "", "kind": "column", "boiler_litres": 25, "elements_watts": [500]}),
            422,
        ),
        ("POST", readings.clone(), json!({"rows": []}), 422),
        ("POST", readings.clone(), json!({"rows": [{}]}), 422),
        ("POST", readings.clone(), json!({"rows": [{"head_c": 2000}]}), 422),
        ("POST", readings.clone(), json!({"rows": [{"head_c": 80, "time_s": -1}]}), 422),
        ("POST", readings.clone(), json!({"rows": [{"head_c": 80, "time_s": 1e7}]}), 422),
        (
            "POST",
            readings.clone(),
            json!({"rows": [{"head_c": 80, "time_s": 4}, {"head_c": 80, "time_s": 3}]}),
            422,
        ),
        ("POST", readings.clone(), json!({"rows": [{"head_f": 180}]}), 400),
        ("POST", actions.clone(), json!({"action": "explode"}), 422),
        ("POST", actions.clone(), json!({"action": "heater", "value": -5, "unit": "W"}), 422),
        ("POST", actions.clone(), json!({"action": "heater", "value": 500, "unit": "hp"}), 422),
        ("POST", actions.clone(), json!({"action": "heater"}), 422),
        ("POST", actions.clone(), json!({"action": "step", "note": "dinner"}), 422),
        ("POST", actions.clone(), json!({"action": "jar", "value": 1.5}), 422),
        ("POST", actions.clone(), json!({"action": "here", "ago_s": -4}), 422),
        ("POST", jars.clone(), json!({"jar": 1, "start_s": 10, "end_s": 5, "volume_ml": 100}), 422),
        (
            "POST",
            jars,
            json!({"jar": 1, "start_s": 0, "end_s": 0, "volume_ml": 100, "cut": "stop"}),
            422,
        ),
        ("POST", format!("/api/runs/{id}/undo"), json!({"entry": 9999}), 409),
        ("PUT", format!("/api/runs/{id}/speed"), json!({"speed": 60}), 409),
        ("PUT", format!("/api/runs/{id}/speed"), json!({"speed": -1}), 422),
        ("POST", "/api/runs/20260101-000000-ffff/actions".into(), json!({"action": "here"}), 404),
        ("POST", "/api/runs/house/actions".into(), json!({"action": "here"}), 404),
    ];
    assert!(cases.len() >= 20);
    for (method, path, body, status) in cases {
        let answer = server.send(method, &path, &body);
        let said = answer.json();
        assert_eq!(answer.status, status, "{method} {path} {body}: {said}");
        assert_eq!(answer.header("content-type").as_deref(), Some("application/problem+json"));
        assert_eq!(said["status"], status, "{said}");
        for key in ["type", "title", "code", "detail", "hint"] {
            assert!(said[key].as_str().is_some_and(|text| !text.is_empty()), "{key}: {said}");
        }
        if status == 422 {
            assert!(said["bound"].is_string() && said["field"].is_string(), "{said}");
        }
    }
    assert_eq!(server.get("/api/health").status, 200);
}

#[test]
fn wrong_bytes_paths_and_methods_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let json = "Content-Type: application/json\r\n";
    let gauge = "/api/bench/gauge";
    for (headers, body, status) in [
        (json, &b"{\"reading\": NaN, \"celsius\": 20}"[..], 400),
        (json, b"{\"reading\": 1e999, \"celsius\": 20}", 400),
        (json, b"{\"reading\": 40, \"celsius\": 20} trailing", 400),
        (json, b"", 400),
        (json, b"\xff\xfe\x00binary", 400),
        ("Content-Type: text/plain\r\n", b"{\"reading\": 40, \"celsius\": 20}", 415),
        ("", b"{\"reading\": 40, \"celsius\": 20}", 415),
    ] {
        let answer = server.ask_with("POST", gauge, headers, body);
        assert_eq!(answer.status, status, "{answer:?}");
    }
    let huge = vec![b' '; 2_000_001];
    assert_eq!(server.ask_with("POST", gauge, json, &huge).status, 413);
    let deep = "[".repeat(200_000);
    assert_eq!(server.ask_with("POST", gauge, json, deep.as_bytes()).status, 400);
    for (method, path, status) in [
        ("GET", "/api/nothing", 404),
        ("GET", "/api", 404),
        ("GET", "/api/runs/none", 404),
        ("GET", "/api/runs/none/folder.zip", 404),
        ("GET", "/api/events", 400),
        ("GET", "/api/events?run=none", 404),
        ("GET", "/api/events?run=none&before=3", 400),
        ("GET", "/api/runs?example=perhaps", 400),
        ("DELETE", "/api/runs", 405),
        ("GET", gauge, 405),
        ("POST", "/", 405),
        ("GET", "/assets/none.js", 404),
        ("GET", "/../../etc/passwd.txt", 404),
    ] {
        let answer = server.ask_with(method, path, "", b"");
        assert_eq!(answer.status, status, "{method} {path}: {answer:?}");
        assert!(answer.json()["hint"].is_string());
    }
    assert_eq!(server.get("/api/health").status, 200);
}

#[test]
fn strangers_are_refused_and_our_names_are_not() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let port = server.address.port();
    for (headers, status) in [
        (format!("Host: 127.0.0.1:{port}\r\n"), 200),
        (format!("Host: localhost:{port}\r\n"), 200),
        (format!("Host: still.local:{port}\r\n"), 200),
        (format!("Host: localhost:{port}\r\nOrigin: http://localhost:{port}\r\n"), 200),
        (format!("Host: elsewhere.example:{port}\r\n"), 403),
        ("Host:\r\n".to_owned(), 403),
        (format!("Host: localhost:{port}\r\nOrigin: http://elsewhere.example\r\n"), 403),
        (format!("Host: localhost:{port}\r\nOrigin: null\r\n"), 403),
        (format!("Host: localhost:{port}\r\nOrigin: http://localhost:1\r\n"), 403),
    ] {
        let answer = server.ask_with("GET", "/api/health", &headers, b"");
        assert_eq!(answer.status, status, "{headers}");
        assert!(answer.header("content-security-policy").is_some());
    }
}
