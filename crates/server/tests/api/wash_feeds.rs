//! Probes of a wash: from feeds and from devices into its log, few of many, none once it is over.

use std::fs::OpenOptions;
use std::io::Write;

use serde_json::{Value, json};

use crate::common::{Answer, Running, start};
use crate::feeding::{Shed, replace};
use crate::washes::opened;

const HOUR_MS: i64 = 3_600_000;

const FEEDS: &str = "format = 1
[[wash]]
name = \"Plum\"
[[wash.source]]
name = \"float\"
kind = \"file\"
path = \"PATH\"
every_s = 0.1
[[wash.source.value]]
channel = \"gravity\"
field = \"points\"
unit = \"points\"
[[wash.source.value]]
channel = \"temperature_c\"
field = \"c\"
[[wash.source.value]]
channel = \"ph\"
field = \"ph\"
";

fn wash(server: &Running, id: &str) -> Value {
    server.get(&format!("/api/washes/{id}")).json()
}

fn pour(server: &Running, id: &str) {
    let poured = server.post(&format!("/api/washes/{id}/pour"), &json!({ "reason": "sour" }));
    assert_eq!(poured.status, 200, "{poured:?}");
}

#[test]
fn a_file_feeds_a_wash_few_rows_and_none_once_it_is_over() {
    let shed = Shed::new();
    let table = shed.path("float.csv");
    replace(&table, b"points,c,ph\n");
    let feeds = FEEDS.replace("PATH", table.to_str().unwrap());
    replace(&shed.path("feeds.toml"), feeds.as_bytes());
    let row = |row: &str| {
        let mut file = OpenOptions::new().append(true).open(&table).unwrap();
        writeln!(file, "{row}").unwrap();
    };
    shed.until("the file can be read", |feeds| !feeds["washes"][0]["values"].is_null());
    let of = |feeds: &Value, channel: &str| -> Value {
        let values = feeds["washes"][0]["values"].as_array().unwrap().clone();
        values.into_iter().find(|value| value["channel"] == channel).unwrap()
    };
    std::thread::sleep(std::time::Duration::from_millis(300));
    row("60.5,22.0,5.1");
    shed.until("nobody takes it", |feeds| {
        feeds["washes"][0]["refused"].as_str().is_some_and(|why| why.contains("no wash Plum"))
    });
    let id = opened(shed.server());
    shed.server().pass_ms(HOUR_MS);
    row("60.0,22.5,5.0");
    let feeds = shed.until("a row is stored", |feeds| feeds["washes"][0]["rows"] == 1);
    let gravity = of(&feeds, "gravity");
    assert_eq!((&gravity["raw"], &gravity["value"]), (&json!(60.0), &json!(1.06)));
    assert_eq!((&gravity["speaks"], &gravity["quality"]), (&json!(true), &json!("good")));
    for tenths in 0..3 {
        row(&format!("59.9,22.{tenths},5.0"));
    }
    shed.until("they are read", |feeds| of(feeds, "temperature_c")["value"] == 22.2);
    assert_eq!(wash(shed.server(), &id)["float"].as_array().unwrap().len(), 1, "nothing new");
    shed.server().pass_ms(HOUR_MS);
    let old = shed.server().get("/api/feeds").json();
    assert_eq!(of(&old, "gravity")["quality"], "stale", "an hour old, where it came each second");
    row("300,21.0,5.0");
    let feeds = shed.until("an hour later", |feeds| feeds["washes"][0]["rows"] == 2);
    assert!(of(&feeds, "gravity")["why"].as_str().unwrap().contains("cannot be"));
    let state = wash(shed.server(), &id);
    let float = state["float"].as_array().unwrap();
    let read: Vec<_> = float.iter().map(|row| (&row["gravity"], &row["temperature_c"])).collect();
    assert_eq!(read, [(&json!(1.06), &json!(22.5)), (&Value::Null, &json!(21.0))]);
    let acid: Vec<&Value> = state["lines"].as_array().unwrap().iter().collect();
    let acid: Vec<_> = acid.iter().filter(|line| line["kind"] == "read").collect();
    assert_eq!((acid.len(), &acid[0]["ph"], &acid[0]["by"]), (1, &json!(5.0), &json!("feeds")));
    pour(shed.server(), &id);
    shed.server().pass_ms(HOUR_MS);
    row("59.0,21.5,5.0");
    shed.until("it is over", |feeds| {
        feeds["washes"][0]["refused"].as_str().is_some_and(|why| why.contains("it is over"))
    });
    assert_eq!(wash(shed.server(), &id)["last_entry"], state["last_entry"].as_i64().unwrap() + 1);
}

fn send(server: &Running, token: &str, wash: &str, body: &Value) -> Answer {
    let head = format!("Content-Type: application/json\r\nAuthorization: Bearer {token}\r\n");
    let path = format!("/api/washes/{wash}/probes");
    server.ask_with("POST", &path, &head, body.to_string().as_bytes())
}

#[test]
fn a_device_of_a_wash_posts_what_is_kept_once() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let ask = json!({ "wash": "Plum", "name": "float" });
    let made = server.post("/api/access/devices", &ask).json();
    assert_eq!((&made["device"]["wash"], &made["device"]["still"]), (&json!("Plum"), &Value::Null));
    let token = made["token"].as_str().unwrap().to_owned();
    let row = |gravity: f64, sequence: u64| json!({ "rows": [{ "gravity": gravity, "temperature_c": 21.0 }], "sequence": sequence });
    assert_eq!(send(&server, &token, "Plum", &row(1.06, 1)).status, 404, "there is none yet");
    let id = opened(&server);
    let first = send(&server, &token, "Plum", &row(1.06, 1));
    assert_eq!(
        first.json(),
        json!({ "wash": id, "kept": 2, "passed_over": 0, "impossible": 0 }),
        "{first:?}"
    );
    let last = wash(&server, &id)["last_entry"].clone();
    assert_eq!(send(&server, &token, "Plum", &row(1.06, 1)).json(), first.json(), "sent again");
    for second in 2..20 {
        server.pass_ms(1000);
        let body = send(&server, &token, "Plum", &row(1.06, second)).json();
        assert_eq!((&body["kept"], &body["passed_over"]), (&json!(0), &json!(2)));
    }
    assert_eq!(wash(&server, &id)["last_entry"], last, "and nothing stored");
    server.pass_ms(HOUR_MS);
    let body = send(&server, &token, "Plum", &row(1.8, 20)).json();
    assert_eq!((&body["kept"], &body["impossible"]), (&json!(1), &json!(1)));
    let elsewhere = send(&server, &token, "Pear", &row(1.06, 21));
    assert_eq!(elsewhere.json()["code"], "device_elsewhere");
    let refused = |body: Value| send(&server, &token, "Plum", &body).json()["field"].clone();
    assert_eq!(refused(json!({ "rows": [], "sequence": 22 })), "rows");
    assert_eq!(refused(json!({ "rows": [{}] })), "rows[0]");
    assert_eq!(refused(json!({ "rows": [{ "ph": 15.0 }] })), "rows[0].ph");
    let backwards = json!({ "rows": [{ "ph": 5.0 }, { "ph": 5.0, "at_ms": 5 }] });
    assert_eq!(refused(backwards), "rows[1].at_ms");
    let two = json!({ "still": "a", "wash": "b", "name": "c" });
    assert_eq!(server.post("/api/access/devices", &two).json()["field"], "wash");
    assert_eq!(
        server.post("/api/access/devices", &json!({ "name": "c" })).json()["field"],
        "still"
    );
    pour(&server, &id);
    let over = send(&server, &token, "Plum", &row(1.05, 30));
    assert_eq!((over.status, &over.json()["code"]), (409, &json!("wash_over")), "{over:?}");
}
