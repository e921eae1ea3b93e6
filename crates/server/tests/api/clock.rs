//! Run time and the clock on the wall: a clock that is set, on or off, moves no run.

use serde_json::{Value, json};
use server::Clock;
use store::BootId;

use crate::common::{NOON_MS, Running, real_run, start, start_at, start_by};
use crate::runs::{run, wait_for};

/// A day and some hours, ms.
const OVER_A_DAY_MS: i64 = 100_000_000;

fn act(server: &Running, id: &str, body: &Value) {
    let answer = server.post(&format!("/api/runs/{id}/actions"), body);
    assert_eq!(answer.status, 200, "{answer:?}");
}

fn read(server: &Running, id: &str, row: &Value) {
    let answer = server.post(&format!("/api/runs/{id}/readings"), &json!({"rows": [row]}));
    assert_eq!(answer.status, 200, "{answer:?}");
}

/// A still that boils: two minutes of vapour, coolant on.
fn at_the_boil(server: &Running) -> String {
    let id = real_run(server);
    act(server, &id, &json!({"action": "coolant", "value": 1.5, "unit": "l_per_min"}));
    for second in 0..24 {
        server.pass_ms(5000);
        let head_c = if second < 4 { 20.0 } else { 78.3 };
        read(server, &id, &boiling(head_c, 1.5, 40.0));
    }
    id
}

fn boiling(head_c: f64, l_per_min: f64, out_c: f64) -> Value {
    json!({
        "head_c": head_c, "pot_c": 90.0, "coolant_in_c": 12.0, "coolant_out_c": out_c,
        "coolant_l_per_min": l_per_min,
    })
}

fn said(run: &Value, code: &str) -> Vec<String> {
    let events = run["events"].as_array().expect("a list");
    let of = events.iter().filter(|event| event["code"] == code);
    of.map(|event| event["text"].as_str().expect("words").to_owned()).collect()
}

fn anchors(server: Running, folder: &std::path::Path, id: &str) -> Vec<(f64, i64)> {
    server.stop();
    let store = store::Store::open_read_only(folder).expect("a record");
    store.verify().expect("a sound record");
    let state = store.run(&store::RunId::new(id)).expect("the run");
    state.anchors.iter().map(|anchor| (anchor.time_s, anchor.utc_ms)).collect()
}

#[test]
fn a_clock_set_back_ten_minutes_at_the_boil_hides_no_lost_coolant() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = at_the_boil(&server);
    server.hand.step_wall_ms(-600_000);
    for _ in 0..12 {
        server.pass_ms(5000);
        read(&server, &id, &boiling(78.3, 0.0, 80.0));
    }
    let lost = |run: &Value| !run["knowledge"]["alarms"].as_array().unwrap().is_empty();
    let shown = wait_for(&server, &id, "an alarm", lost);
    assert_eq!(shown["knowledge"]["time_s"], 179.0, "run time went on");
    let told = said(&shown, "clock_set");
    assert_eq!(told.len(), 1, "once: {told:?}");
    assert!(told[0].contains("set back by 10 min"), "{told:?}");
    // Nobody reads any more: what was read is old, and said to be.
    server.pass_ms(60_000);
    let stale = |run: &Value| {
        let channels = run["knowledge"]["channels"].as_array().unwrap();
        channels.iter().any(|channel| channel["name"] == "head_c" && channel["quality"] == "stale")
    };
    wait_for(&server, &id, "old values are stale", stale);
    assert_eq!(shown["started_ms"], NOON_MS - 600_000, "run time 0 by the clock as it is now");
    let anchors = anchors(server, folder.path(), &id);
    assert_eq!(anchors.len(), 2, "{anchors:?}");
    assert_eq!(anchors[1].1, NOON_MS - 600_000 + 120_000 + 5000);
}

#[test]
fn a_clock_set_forward_over_a_day_ends_no_run_and_refuses_no_reading() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = at_the_boil(&server);
    server.hand.step_wall_ms(OVER_A_DAY_MS);
    server.pass_ms(5000);
    read(&server, &id, &boiling(78.3, 1.5, 40.0));
    server.pass_ms(5000);
    let at = |run: &Value| run["knowledge"]["time_s"] == 129.0;
    let shown = wait_for(&server, &id, "run time goes on", at);
    assert!(shown["ended"].is_null());
    assert!(said(&shown, "run_ended").is_empty());
    let told = said(&shown, "clock_set");
    assert!(told.len() == 1 && told[0].contains("forward by 1 d 3 h"), "{told:?}");
    let feed = server.follow(&id, None).receive();
    assert_eq!(feed.data["started_ms"], NOON_MS + OVER_A_DAY_MS);
    read(&server, &id, &boiling(78.3, 1.5, 40.0));
}

#[test]
fn a_clock_set_back_while_the_program_is_stopped_does_not_turn_run_time_back() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = at_the_boil(&server);
    server.stop();
    let server = start_at(folder.path(), NOON_MS - 600_000);
    let shown = run(&server, &id);
    assert!(shown["knowledge"]["time_s"].as_f64() >= Some(119.0), "{}", shown["knowledge"]);
    let told = said(&shown, "clock_set");
    assert!(told.len() == 1 && told[0].contains("before the last entry"), "{told:?}");
    server.pass_ms(30_000);
    read(&server, &id, &boiling(78.3, 1.5, 40.0));
    let on = |run: &Value| run["knowledge"]["time_s"] == 149.0;
    wait_for(&server, &id, "run time goes on from the last entry", on);
    server.stop();
    let server = start_at(folder.path(), NOON_MS - 600_000 + 90_000);
    let shown = run(&server, &id);
    assert_eq!(said(&shown, "clock_set").len(), 1, "said once");
    assert_eq!(shown["knowledge"]["time_s"], 209.0, "by the newest anchor");
}

#[test]
fn a_stop_of_the_program_is_said_with_its_length() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = at_the_boil(&server);
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 120_000 + 20_000);
    assert!(said(&run(&server, &id), "unattended").is_empty(), "20 s are no absence");
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 120_000 + 740_000);
    let told = said(&run(&server, &id), "unattended");
    assert!(told.len() == 1 && told[0].contains("for 12 min"), "{told:?}");
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 120_000 + 750_000);
    assert_eq!(said(&run(&server, &id), "unattended"), told, "it is in the record, once");
}

#[test]
fn a_jump_over_a_day_while_the_program_is_stopped_ends_no_run() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = at_the_boil(&server);
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 40 * OVER_A_DAY_MS);
    assert_eq!(run(&server, &id)["knowledge"]["time_s"], 120.0, "it is open");
    server.pass_ms(10_000);
    read(&server, &id, &boiling(78.3, 1.5, 40.0));
    let on = |run: &Value| run["knowledge"]["time_s"] == 129.0;
    let shown = wait_for(&server, &id, "run time goes on from the last entry", on);
    assert!(shown["ended"].is_null());
    let told = said(&shown, "clock_set");
    assert!(told.len() == 1 && told[0].contains("after the last entry"), "{told:?}");
}

#[test]
fn knowledge_carries_the_true_start_after_twenty_minutes_of_check_list() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let begin = json!({"plan": crate::common::plan(&server), "mode": "real"});
    let id = server.post("/api/runs", &begin).json()["id"].as_str().unwrap().to_owned();
    let mut feed = server.follow(&id, None);
    assert_eq!(feed.receive().data["started_ms"], Value::Null, "before heat");
    server.pass_ms(1_200_000);
    act(&server, &id, &json!({"action": "heater", "value": 3000, "unit": "W"}));
    let told = feed.next_of("recorded");
    assert!(told.data["entry"].as_u64() > Some(1), "{told:?}");
    for _ in 0..100 {
        let told = feed.next_of("knowledge");
        if told.data["started_ms"] == NOON_MS + 1_200_000 {
            return;
        }
    }
    panic!("the start never came");
}

/// Starts of a computer.
const BOOTS: [&str; 2] = ["0f2a8c1e5b774d099c3e77aa01b2c3d4", "7d11c0de5b774d099c3e77aa01b2c3d4"];
const SIX_HOURS_MS: i64 = 21_600_000;

/// A run at the boil for 120 s, then a stop of the program for 40 s in which the clock on the wall
/// is set by so much: what is shown on the same start of the computer.
fn stopped_meanwhile_set(by_ms: i64) -> Value {
    let folder = tempfile::tempdir().expect("a folder");
    let (clock, hand) = Clock::by_hand_of(BootId::read(BOOTS[0]), NOON_MS);
    let server = start_by(folder.path(), (clock.clone(), hand.clone()), false);
    let id = at_the_boil(&server);
    act(&server, &id, &json!({"action": "takeoff", "value": 6.0, "unit": "ml_per_min"}));
    server.stop();
    hand.pass_ms(40_000);
    hand.step_wall_ms(by_ms);
    let server = start_by(folder.path(), (clock.clone(), hand.clone()), false);
    let shown = run(&server, &id);
    assert_eq!(shown["knowledge"]["time_s"], 159.0, "run time went on by the pause");
    server.pass_ms(5000);
    read(&server, &id, &boiling(78.3, 1.5, 40.0));
    server.stop();
    // What was said then is not said again, and the next stop counts from there.
    hand.pass_ms(35_000);
    let server = start_by(folder.path(), (clock, hand), false);
    let again = run(&server, &id);
    assert_eq!(again["knowledge"]["time_s"], 199.0);
    assert_eq!(said(&again, "clock_set"), said(&shown, "clock_set"), "once");
    assert_eq!(said(&again, "unattended"), Vec::<String>::new(), "40 s are no absence");
    assert_eq!(again["started_ms"], NOON_MS + by_ms, "run time 0 by the clock as it is now");
    shown
}

fn drawn_l(run: &Value) -> f64 {
    run["knowledge"]["account"]["drawn_l"]["p50"].as_f64().expect("what is drawn is reckoned")
}

#[test]
fn a_clock_set_forward_six_hours_while_the_program_is_stopped_moves_no_run_time() {
    let shown = stopped_meanwhile_set(SIX_HOURS_MS);
    let told = said(&shown, "clock_set");
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("forward by 6 h 0 min while the program was stopped"), "{told:?}");
    let (as_it_was, forward) = (drawn_l(&stopped_meanwhile_set(0)), drawn_l(&shown));
    assert!(
        as_it_was > 0.0 && (as_it_was - forward).abs() < 1e-9,
        "{as_it_was} and {forward} L drawn"
    );
}

#[test]
fn a_clock_set_back_while_the_program_is_stopped_costs_no_run_time() {
    let told = said(&stopped_meanwhile_set(-600_000), "clock_set");
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("back by 10 min 0 s while the program was stopped"), "{told:?}");
    assert!(said(&stopped_meanwhile_set(0), "clock_set").is_empty(), "it was not set");
}

#[test]
fn on_another_start_of_the_computer_the_clock_on_the_wall_is_believed_and_then_the_steady_one() {
    let folder = tempfile::tempdir().unwrap();
    let begin = Clock::by_hand_of(BootId::read(BOOTS[0]), NOON_MS);
    let server = start_by(folder.path(), begin, false);
    let id = at_the_boil(&server);
    server.stop();
    // The steady clock began anew and shows less than it did.
    let (clock, hand) = Clock::by_hand_of(BootId::read(BOOTS[1]), NOON_MS + 420_000);
    let server = start_by(folder.path(), (clock.clone(), hand.clone()), false);
    let shown = run(&server, &id);
    assert_eq!(shown["knowledge"]["time_s"], 419.0, "by the clock on the wall");
    assert!(said(&shown, "clock_set").is_empty());
    let told = said(&shown, "unattended");
    assert!(told.len() == 1 && told[0].contains("for 5 min"), "{told:?}");
    server.stop();
    hand.pass_ms(90_000);
    hand.step_wall_ms(SIX_HOURS_MS);
    let server = start_by(folder.path(), (clock, hand), false);
    let shown = run(&server, &id);
    assert_eq!(shown["knowledge"]["time_s"], 509.0, "by the steady clock of the second start");
    let told = said(&shown, "clock_set");
    assert!(told.len() == 1 && told[0].contains("forward by 6 h 0 min"), "{told:?}");
    let told = said(&shown, "unattended");
    assert!(told.len() == 2 && told[1].contains("for 1 min 30 s"), "the true length: {told:?}");
    let anchors = anchors(server, folder.path(), &id);
    assert_eq!(anchors.iter().map(|anchor| anchor.0).collect::<Vec<_>>(), [0.0, 420.0, 510.0]);
}

#[test]
fn a_stop_over_a_day_on_the_same_start_is_said_and_counts_as_none() {
    let folder = tempfile::tempdir().unwrap();
    let (clock, hand) = Clock::by_hand_of(BootId::read(BOOTS[0]), NOON_MS);
    let server = start_by(folder.path(), (clock.clone(), hand.clone()), false);
    let id = at_the_boil(&server);
    server.stop();
    hand.pass_ms(OVER_A_DAY_MS);
    hand.step_wall_ms(-OVER_A_DAY_MS);
    let server = start_by(folder.path(), (clock.clone(), hand.clone()), false);
    let shown = run(&server, &id);
    assert_eq!(shown["knowledge"]["time_s"], 120.0, "it is open");
    let told = said(&shown, "clock_set");
    assert!(told.len() == 1 && told[0].contains("stopped for 1 d 3 h"), "{told:?}");
    server.stop();
    hand.pass_ms(30_000);
    let server = start_by(folder.path(), (clock, hand), false);
    let on = |run: &Value| run["knowledge"]["time_s"] == 149.0;
    wait_for(&server, &id, "run time goes on from there", on);
}

#[test]
fn a_device_whose_clock_is_wrong_is_told_and_its_rows_are_put_right() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let path = format!("/api/runs/{id}/readings");
    let mut now_ms = NOON_MS;
    let mut post = |sent: Option<i64>, newest_s: i64, head_c: f64| {
        server.pass_ms(10_000);
        now_ms += 10_000;
        let at = |off_s: i64| store::time::format_start(now_ms + 1000 * off_s, 0);
        let mut ask = json!({"rows": [{"at": at(newest_s), "head_c": head_c}]});
        if let Some(off_s) = sent {
            ask["sent_at"] = json!(at(off_s));
            ask["device"] = json!("box");
        }
        server.post(&path, &ask)
    };
    // One that says what its own clock shows: an hour behind, its row ten seconds old.
    let put = post(Some(-3600), -3610, 20.0);
    assert_eq!((put.status, put.json()["clock_off_s"].as_f64()), (200, Some(-3600.0)), "{put:?}");
    // One that stamps its rows two minutes ahead: refused with the reason until it is so alike.
    for head_c in [21.0, 22.0] {
        let refused = post(None, 120, head_c);
        let words = refused.json().to_string();
        assert!(refused.status == 422 && words.contains("2 min 0 s ahead of"), "{words}");
    }
    assert_eq!(post(None, 120, 23.0).status, 200);
    let shown = run(&server, &id);
    let told = said(&shown, "device_clock");
    assert!(told.len() == 3 && told[0].contains("box is 1 h 0 min behind"), "{told:?}");
    server.stop();
    let store = store::Store::open_read_only(folder.path()).expect("a record");
    let state = store.run(&store::RunId::new(&id)).expect("the run");
    let times: Vec<f64> = state.rows.readings.iter().map(|row| row.0).collect();
    assert_eq!(times, [0.0, 40.0]);
}
