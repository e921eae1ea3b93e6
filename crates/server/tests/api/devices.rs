//! Devices that send readings with a token and a number.

use serde_json::{Value, json};

use crate::common::{Answer, Running, plan, real_run, start};
use crate::runs::run;

fn send(server: &Running, token: &str, still: &str, body: &Value) -> Answer {
    let path = format!("/api/stills/{}/readings", still.replace(' ', "%20"));
    let head = format!("Content-Type: application/json\r\nAuthorization: Bearer {token}\r\n");
    server.ask_with("POST", &path, &head, body.to_string().as_bytes())
}

#[test]
fn a_post_that_comes_again_is_one_entry_and_a_token_is_for_one_still() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let still = plan(&server)["still"]["name"].as_str().unwrap().to_owned();
    let ask = json!({"still": still, "name": "head probe"});
    let made = server.post("/api/access/devices", &ask).json();
    let token = made["token"].as_str().unwrap().to_owned();
    let row =
        |head_c: f64, sequence: u64| json!({"rows": [{"head_c": head_c}], "sequence": sequence});
    assert_eq!(send(&server, &token, &still, &row(20.0, 1)).status, 409, "no run is going on");
    let id = real_run(&server);
    server.pass_ms(5000);
    let first = send(&server, &token, &still, &row(20.0, 1));
    assert_eq!(first.status, 200, "{first:?}");
    let last = run(&server, &id)["last_entry"].clone();
    server.pass_ms(1000);
    let again = send(&server, &token, &still, &row(20.0, 1));
    assert_eq!((again.status, again.json()), (200, first.json()), "the same answer");
    assert_eq!(run(&server, &id)["last_entry"], last, "and nothing stored");
    // A device that counts anew after a start loses nothing.
    assert_ne!(send(&server, &token, &still, &row(20.5, 1)).json()["entry"], first.json()["entry"]);
    let mut begun = row(20.0, 1);
    begun["boot"] = json!("9f2c");
    assert_ne!(send(&server, &token, &still, &begun).json()["entry"], first.json()["entry"]);
    let refused = |body: Value| send(&server, &token, &still, &body).status;
    assert_eq!(refused(json!({"rows": [{"head_c": 20.0}], "sequence": 2, "key": "a"})), 422);
    assert_eq!(refused(json!({"rows": [{"head_c": 20.0}], "sequence": -2})), 400);
    assert_eq!(refused(json!({"rows": [{"head_c": 20.0}], "boot": "a"})), 422);
    assert_eq!(refused(json!({"rows": [{"head_c": 20.0}], "sequence": 2, "boot": "../a"})), 422);
    // A person has keys.
    let path = format!("/api/runs/{id}/readings");
    assert_eq!(server.post(&path, &row(20.0, 7)).json()["field"], "sequence");
    let elsewhere = send(&server, &token, "Another", &row(20.0, 2));
    assert_eq!(
        (elsewhere.status, elsewhere.json()["code"].as_str()),
        (403, Some("device_elsewhere"))
    );
    let twice = still.replace(' ', "%2520");
    assert_eq!(
        send(&server, &token, &twice, &row(20.0, 2)).status,
        if twice == still { 200 } else { 403 }
    );
    // From this computer a wrong token is refused like anywhere.
    assert_eq!(send(&server, "abc", &still, &row(20.0, 2)).status, 401);
    let device = made["device"]["id"].as_str().unwrap().to_owned();
    let seen = server.get("/api/access/guests").json()["devices"][0]["seen_ms"].clone();
    assert!(seen.is_i64(), "{seen}");
    let gone = server.send("DELETE", &format!("/api/access/guests/{device}"), &json!({}));
    assert_eq!(gone.status, 200);
    assert_eq!(send(&server, &token, &still, &row(21.0, 3)).status, 401, "revoked");
    assert_eq!(server.send("DELETE", "/api/access/guests/none", &json!({})).status, 404);
}

#[test]
fn names_and_roles_are_checked() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    for (path, body, status) in [
        ("/api/access/devices", json!({"still": "", "name": "a"}), 422),
        ("/api/access/devices", json!({"still": "a", "name": "x".repeat(61)}), 422),
        ("/api/access/devices", json!({"still": "a", "name": "two\nlines"}), 422),
        ("/api/access/codes", json!({"role": "owner"}), 400),
        ("/api/access/pair", json!({"code": "x", "name": ""}), 422),
        ("/api/access/pair", json!({"code": "x".repeat(5000)}), 403),
    ] {
        assert_eq!(server.post(path, &body).status, status, "{path} {body}");
    }
    let me = server.get("/api/access").json();
    assert_eq!((&me["role"], &me["session"]), (&json!("attendant"), &Value::Null));
}
