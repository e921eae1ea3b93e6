//! `middlecut access` beside a server that runs: what is made here lets in there, what is revoked
//! here is out there.

use std::io::{Read, Write};
use std::net::TcpStream;

use serde_json::{Value, json};

use crate::served::Served;
use crate::{printed, run, typed};

fn told(arguments: &[&str]) -> Value {
    serde_json::from_str(&printed(&[arguments, &["--json"]].concat())).expect("JSON")
}

/// The status of readings that a device sends.
fn send(served: &Served, token: &str) -> u16 {
    let body = json!({"rows": [{"head_c": 20.0}], "sequence": 1}).to_string();
    let mut stream = TcpStream::connect(served.address()).expect("the server listens");
    write!(
        stream,
        "POST /api/stills/Copper/readings HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\
         Authorization: Bearer {token}\r\nContent-Type: application/json\r\n\
         Content-Length: {}\r\n\r\n{body}",
        served.address(),
        body.len()
    )
    .expect("the server takes the request");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("the server answers");
    answer.split(' ').nth(1).and_then(|status| status.parse().ok()).expect("a status")
}

#[test]
fn who_may_come_in_is_made_listed_and_revoked_while_the_server_runs() {
    let folder = tempfile::tempdir().expect("a folder");
    let data = typed(folder.path());
    assert_eq!(run(&["access", "list", "--data", data]).status.code(), Some(2), "no record yet");
    let served = Served::start(folder.path());
    let code = told(&["access", "code", "--looker-on", "--data", data]);
    assert_eq!((&code["role"], &code["links"]), (&json!("looker_on"), &json!([])));
    let paired = json!({"code": code["code"], "name": "kitchen"});
    assert_eq!(served.post("/api/access/pair", &paired)["role"], "looker_on");
    let made =
        told(&["access", "device", "--still", "Copper", "--name", "head probe", "--data", data]);
    let token = made["token"].as_str().expect("a token");
    assert_eq!(send(&served, token), 409, "let in, and no run is going on");
    let list = told(&["access", "list", "--data", data]);
    assert_eq!(list["people"][0]["name"], "kitchen");
    assert_eq!(list["devices"][0]["still"], "Copper");
    assert!(!list.to_string().contains(token), "told once");
    let text = printed(&["access", "list", "--data", data]);
    assert!(text.contains("looker-on") && text.contains("device of the still Copper"), "{text}");
    let id = made["id"].as_str().expect("an id");
    printed(&["access", "revoke", id, "--data", data]);
    assert_eq!(send(&served, token), 401);
    assert_eq!(run(&["access", "revoke", id, "--data", data]).status.code(), Some(2));
    let nameless = run(&["access", "device", "--still", "Copper", "--name", " ", "--data", data]);
    assert_eq!(nameless.status.code(), Some(2));
}

#[test]
fn what_cannot_be_reached_so_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let serve = ["serve", "--no-open", "--port", "0", "--data", typed(folder.path())];
    for (more, words) in [
        (&["--proxy", "still.example"][..], "--proxy still.example"),
        (&["--proxy", "https://still.example/page"], "--proxy"),
        (&["--tls", "--host", "still.example"], "--host still.example"),
    ] {
        let output = run(&[&serve[..], more].concat());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{more:?}: {said}");
        assert!(said.contains(words) && said.contains("hint:"), "{said}");
    }
}
