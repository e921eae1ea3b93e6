//! Feeds from a broker: a stand-in of the test's own, through a real server into a real run.

use sense::Probe;
use serde_json::json;

use crate::broker::{Client, StandIn};
use crate::common::real_run;
use crate::feeding::{STEP_MS, Shed, source, value, values};

/// The broker of the file.
fn broker(port: u16, rest: &str) -> String {
    format!("[broker]\nhost = \"127.0.0.1\"\nport = {port}\n{rest}\n")
}

/// A source that listens for head, pot and coolant.
const BOARD: &str = r#"[[still.source]]
name = "board"
kind = "mqtt"
[[still.source.value]]
channel = "head_c"
topic = "shed/board/head"
[[still.source.value]]
channel = "pot_c"
topic = "shed/+/all"
field = "/t/1"
unit = "F"
[[still.source.value]]
channel = "coolant_out_c"
topic = "shed/+/all"
field = "out"
"#;

/// A client of the test; a broker that was just started may not listen yet.
fn client(port: u16, user: Option<(&str, &str)>) -> Client {
    Client::connect(port, "test", user).expect("the broker takes it")
}

#[test]
fn messages_come_into_the_run_once_and_in_order_and_retained_ones_never() {
    let shed = Shed::new();
    let stand_in = StandIn::start(None);
    let mut board = client(stand_in.port, None);
    board.publish("shed/board/head", "60", true).expect("sent");
    let id = real_run(shed.server());
    shed.feed_by(&broker(stand_in.port, ""), BOARD);
    shed.why("board", "head_c", "kept 60 from before it was listened to (retained)");
    shed.why("board", "pot_c", "nothing has come yet");
    for step in 0..5 {
        shed.server().pass_ms(STEP_MS);
        board.publish("shed/board/head", &format!("{}", 70 + step), true).expect("sent");
        shed.rows(step + 1);
    }
    // As fast as they can be sent, by a clock that stands: each is a reading of its own.
    shed.server().pass_ms(STEP_MS);
    for tenth in 1..=9 {
        board.publish("shed/board/head", &format!("75.{tenth}"), false).expect("sent");
    }
    board.publish("shed/box/all", r#"{"t": [0, 194], "out": 40}"#, false).expect("sent");
    let feeds = shed.until("it came", |feeds| value(feeds, "board", "pot_c")["value"] == 90.0);
    let pot = value(&feeds, "board", "pot_c");
    assert_eq!((&pot["raw"], &pot["raw_unit"]), (&json!(194.0), &json!("F")));
    assert_eq!(pot["kind"], "mqtt");
    assert_eq!(pot["path"], format!("mqtt://127.0.0.1:{} shed/+/all", stand_in.port));
    // Another topic that the filter means is no second thermometer of the pot.
    board.publish("shed/other/all", r#"{"t": [0, 32], "out": 5}"#, false).expect("sent");
    shed.why("board", "pot_c", "\"shed/other/all\" is meant by the filter too");
    board.publish("shed/box/all", "no json", false).expect("sent");
    shed.why("board", "coolant_out_c", "sent no JSON");
    shed.until("all are stored", |feeds| feeds["stills"][0]["rows"].as_u64() >= Some(14));
    let log = shed.server().get(&format!("/api/runs/{id}/log")).json();
    let units = "Sources send pot thermometer by board in °F";
    let said = log["entries"].as_array().expect("lines").iter().filter(|l| l["words"] == units);
    assert_eq!(said.count(), 1, "what the source counts in is kept, once: {log:#}");
    let folder = shed.path("");
    let (id_again, heads) = (id.clone(), values(&shed.stored(&id, Probe::Head)));
    let expected: Vec<f64> =
        (70..75).map(f64::from).chain((1..=9).map(|t| 75.0 + f64::from(t) / 10.0)).collect();
    assert_eq!(heads, expected, "{id_again} in {}", folder.display());
}

#[test]
fn a_broker_that_went_away_is_come_back_to() {
    let shed = Shed::new();
    let stand_in = StandIn::start(Some(("still", "open sesame")));
    let port = stand_in.port;
    std::fs::write(shed.path("broker-password"), "open sesame\n").expect("written");
    let id = real_run(shed.server());
    let user = "user = \"still\"\npassword_file = \"broker-password\"";
    shed.feed_by(&broker(port, user), BOARD);
    shed.why("board", "head_c", "nothing has come yet");
    let mut board = client(port, Some(("still", "open sesame")));
    board.publish("shed/board/head", "70", false).expect("sent");
    shed.rows(1);
    stand_in.kill();
    shed.why("board", "head_c", "127.0.0.1");
    let stand_in = StandIn::start_at(port, Some(("still", "open sesame")));
    shed.why("board", "head_c", "nothing has come yet");
    let mut board = client(port, Some(("still", "open sesame")));
    shed.server().pass_ms(STEP_MS);
    board.publish("shed/board/head", "71", false).expect("sent");
    shed.rows(2);
    // A password that is wrong is told of, and never told.
    std::fs::write(shed.path("broker-password"), "shibboleth\n").expect("written");
    stand_in.kill();
    let _stand_in = StandIn::start_at(port, Some(("still", "open sesame")));
    shed.why("board", "head_c", "refuses user or password");
    let told = shed.server().get("/api/feeds").json().to_string();
    assert!(!told.contains("shibboleth") && !told.contains("sesame"), "{told}");
    assert_eq!(values(&shed.stored(&id, Probe::Head)), [70.0, 71.0]);
}

#[test]
fn a_change_of_the_file_leaves_sources_alone_that_are_as_they_were() {
    let shed = Shed::new();
    let stand_in = StandIn::start(None);
    let id = real_run(shed.server());
    shed.feed_by(&broker(stand_in.port, ""), BOARD);
    shed.why("board", "head_c", "nothing has come yet");
    let mut board = client(stand_in.port, None);
    board.publish("shed/board/head", "70", false).expect("sent");
    shed.rows(1);
    let taken = stand_in.taken();
    let table = source("air", "file", &shed.path("air.csv"), "", "ambient_c", "field = \"room\"");
    shed.feed_by(&broker(stand_in.port, ""), &format!("{table}{BOARD}"));
    shed.why("air", "ambient_c", "cannot be read");
    let feeds = shed.server().get("/api/feeds").json();
    assert_eq!(value(&feeds, "board", "head_c")["raw"], 70.0, "it is known as before");
    shed.server().pass_ms(STEP_MS);
    board.publish("shed/board/head", "71", false).expect("sent");
    shed.rows(2);
    assert_eq!(stand_in.taken(), taken, "it was listened to all the time");
    // A source that was changed begins anew.
    let other = BOARD.replace("shed/board/head", "shed/board/top");
    shed.feed_by(&broker(stand_in.port, ""), &other);
    shed.why("board", "head_c", "nothing has come yet");
    assert_eq!(stand_in.taken(), taken + 1);
    assert_eq!(values(&shed.stored(&id, Probe::Head)), [70.0, 71.0]);
}
