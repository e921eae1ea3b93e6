//! Who is let in and who is not: each kind of attack of docs/network.md, tried and refused.

use serde_json::{Value, json};
use server::{Clock, Reach};

use crate::common::{Answer, NOON_MS, Running, real_run, start, start_reached};

const DAY_MS: i64 = 86_400_000;
pub(crate) const JSON: &str = "Content-Type: application/json\r\n";

/// A server that takes nobody for somebody at its own computer, behind a proxy on it.
pub(crate) fn guarded(folder: &std::path::Path) -> Running {
    let reach = Reach { proxy: Some("http://still.example".to_owned()), ..Reach::default() };
    start_reached(folder, Clock::by_hand(NOON_MS), false, reach)
}

/// Pairs a browser by a code; gives the header with its cookie.
pub(crate) fn pair(server: &Running, code: &str) -> String {
    let answer = tell(server, code);
    assert_eq!(answer.status, 200, "{answer:?}");
    let cookie = answer.header("set-cookie").expect("a session");
    for word in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age="] {
        assert!(cookie.contains(word), "{cookie}");
    }
    format!("Cookie: {}\r\n", cookie.split(';').next().expect("a cookie"))
}

fn tell(server: &Running, code: &str) -> Answer {
    let body = json!({ "code": code, "name": "a test" }).to_string();
    server.ask_with("POST", "/api/access/pair", JSON, body.as_bytes())
}

pub(crate) fn codes(server: &Running) -> [String; 2] {
    let codes = &server.listening.codes;
    [codes[0].code.clone(), codes[1].code.clone()]
}

fn code_of(answer: &Answer) -> String {
    let said: Value = serde_json::from_slice(&answer.body).unwrap_or_default();
    said["code"].as_str().unwrap_or_default().to_owned()
}

/// Every operation of the API with its path, ids filled in.
fn operations(server: &Running, head: &str) -> Vec<(String, String)> {
    let document = server.ask_with("GET", "/api/openapi.json", head, b"").json();
    let mut all = Vec::new();
    for (path, methods) in document["paths"].as_object().expect("paths") {
        for method in methods.as_object().expect("methods").keys() {
            let path = path.replace("{id}", "20260101-000000-ffff").replace("{name}", "Still");
            all.push((method.to_uppercase(), path));
        }
    }
    assert!(all.len() > 40);
    all
}

#[test]
fn every_route_is_shut_to_those_it_is_not_for() {
    let folder = tempfile::tempdir().unwrap();
    let server = guarded(folder.path());
    let [attendant, looker_on] = codes(&server).map(|code| pair(&server, &code));
    let ask = json!({"still": "Still", "name": "board"}).to_string();
    let made = server.ask_with(
        "POST",
        "/api/access/devices",
        &format!("{attendant}{JSON}"),
        ask.as_bytes(),
    );
    let token = made.json()["token"].as_str().expect("a token").to_owned();
    let device = format!("Authorization: Bearer {token}\r\n");
    let open = ["/api/health", "/api/access/pair", "/api/access/leave"];
    for (method, path) in operations(&server, &attendant) {
        let ask = |head: &str| server.ask_with(&method, &path, &format!("{head}{JSON}"), b"{}");
        if open.contains(&path.as_str()) {
            continue;
        }
        // A stranger may ask five times a second.
        server.hand.pass_ms(1000);
        let nobody = ask("");
        assert_eq!(
            (nobody.status, code_of(&nobody).as_str()),
            (401, "not_paired"),
            "{method} {path}"
        );
        let sent = ask(&device);
        if path != "/api/stills/Still/readings" {
            assert_eq!((sent.status, code_of(&sent).as_str()), (403, "device_elsewhere"), "{path}");
        }
        let reckons = path.starts_with("/api/bench/") || path == "/api/forecast";
        let concerns_all = !path.starts_with("/api/access/") && (method == "GET" || reckons);
        if !concerns_all {
            let looks = ask(&looker_on);
            assert_eq!(
                (looks.status, code_of(&looks).as_str()),
                (403, "looker_on"),
                "{method} {path}"
            );
        }
    }
    // What they are for is open to them.
    assert_eq!(server.ask_with("GET", "/api/runs", &looker_on, b"").status, 200);
    assert_eq!(server.ask_with("GET", "/api/access/guests", &attendant, b"").status, 200);
    let page = server.ask_with("GET", "/", "", b"");
    assert_eq!((page.status, page.header("location").as_deref()), (307, Some("/pair")));
    assert_eq!(server.ask_with("GET", "/pair", "", b"").status, 200);
}

#[test]
fn codes_and_sessions_end() {
    let folder = tempfile::tempdir().unwrap();
    let server = guarded(folder.path());
    let [attendant, looker_on] = codes(&server);
    let cookie = pair(&server, &attendant.to_lowercase().replace('-', " "));
    let used = tell(&server, &attendant);
    assert_eq!((used.status, code_of(&used).as_str()), (403, "code_refused"), "used twice");
    server.pass_ms(601_000);
    assert_eq!(code_of(&tell(&server, &looker_on)), "code_refused", "too old");
    // Guesses: a few, then none for a while, not even the right one.
    let guesses: Vec<u16> = (0..6).map(|n| tell(&server, &format!("{n:016}")).status).collect();
    assert_eq!(&guesses[..3], [403, 403, 403]);
    assert_eq!(guesses[5], 429);
    let body = json!({"role": "looker_on"}).to_string();
    let made =
        server.ask_with("POST", "/api/access/codes", &format!("{cookie}{JSON}"), body.as_bytes());
    let code = made.json()["code"].as_str().unwrap().to_owned();
    assert_eq!(made.json()["links"][0]["url"], format!("http://still.example/pair#{code}"));
    let late = tell(&server, &code);
    assert_eq!(late.status, 429);
    assert!(late.header("retry-after").is_some());
    server.pass_ms(130_000);
    let looks = pair(&server, &code);
    // Somebody who is turned out is out at once, his feed too.
    let see = |head: &str| server.ask_with("GET", "/api/access", head, b"");
    let session = see(&looks).json()["session"]["id"].as_str().unwrap().to_owned();
    let gone = server.ask_with("DELETE", &format!("/api/access/guests/{session}"), &cookie, b"");
    assert_eq!(gone.status, 200);
    assert_eq!((see(&looks).status, see(&cookie).status), (401, 200));
    // Sessions outlive the program, and end.
    server.stop();
    let server = guarded_at(folder.path(), NOON_MS + DAY_MS);
    let port = server.address.port();
    let (_, value) = cookie.trim().split_once('=').unwrap();
    let cookie = format!("Cookie: middlecut-{port}={value}\r\n");
    let see = |head: &str| server.ask_with("GET", "/api/access", head, b"").status;
    assert_eq!(see(&cookie), 200);
    server.pass_ms(30 * DAY_MS);
    assert_eq!(see(&cookie), 401, "expired");
    // Of what lets in nothing can be read in the folder.
    let book = std::fs::read(folder.path().join("access.sqlite")).unwrap();
    let (_, secret) = value.split_once('.').unwrap();
    assert!(!book.windows(secret.len()).any(|part| part == secret.as_bytes()));
}

fn guarded_at(folder: &std::path::Path, now_ms: i64) -> Running {
    let reach = Reach { proxy: Some("http://still.example".to_owned()), ..Reach::default() };
    start_reached(folder, Clock::by_hand(now_ms), false, reach)
}

#[test]
fn who_is_turned_out_hears_no_more_and_a_proxy_is_never_this_computer() {
    let folder = tempfile::tempdir().unwrap();
    let server = guarded(folder.path());
    let [attendant, looker_on] = codes(&server).map(|code| pair(&server, &code));
    let house = server.ask_with("GET", "/api/house", &attendant, b"").json();
    let mut plan = house["example"]["plans"][0].clone();
    plan.as_object_mut().unwrap().remove("id");
    let body = json!({"plan": plan, "mode": "real", "started": true}).to_string();
    let begun =
        server.ask_with("POST", "/api/runs", &format!("{attendant}{JSON}"), body.as_bytes());
    let run = begun.json()["id"].as_str().unwrap().to_owned();
    let mut feed = server.follow_with(&run, None, &looker_on);
    feed.next_of("knowledge");
    let guests = server.ask_with("GET", "/api/access/guests", &attendant, b"").json();
    let people = guests["people"].as_array().unwrap().clone();
    let looks = people.iter().find(|one| one["role"] == "looker_on").unwrap();
    let path = format!("/api/access/guests/{}", looks["id"].as_str().unwrap());
    assert_eq!(server.ask_with("DELETE", &path, &attendant, b"").status, 200);
    assert!(feed.ends());
    drop(server);
    // Without a proxy this computer needs no code; who comes through one all the same does.
    let other = tempfile::tempdir().unwrap();
    let plain = start(other.path());
    real_run(&plain);
    assert_eq!(plain.get("/api/runs").status, 200);
    for header in [
        "X-Forwarded-For: 10.0.0.1",
        "Forwarded: for=10.0.0.1",
        "Via: 1.1 proxy",
        "X-Real-IP: 127.0.0.1",
        "X_Forwarded_For: 1",
    ] {
        assert_eq!(
            plain.ask_with("GET", "/api/runs", &format!("{header}\r\n"), b"").status,
            401,
            "{header}"
        );
    }
}
