//! Runs from begin to end: rows stored before they are acknowledged, undo, the live feed, and a
//! server that stops in mid-run and goes on.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::common::{NOON_MS, Running, plan, real_run, start, start_at};

/// Begins a rehearsal of the example house and gives its id.
pub(crate) fn rehearsal(server: &Running, speed: f64, attendant: bool) -> String {
    let ask = json!({
        "plan": plan(server), "mode": "rehearsal", "speed": speed, "seed": 7,
        "attendant": attendant, "example": true,
    });
    let answer = server.post("/api/runs", &ask);
    assert_eq!(answer.status, 201, "{answer:?}");
    answer.json()["id"].as_str().expect("an id").to_owned()
}

pub(crate) fn run(server: &Running, id: &str) -> Value {
    let answer = server.get(&format!("/api/runs/{id}"));
    assert_eq!(answer.status, 200, "{answer:?}");
    answer.json()
}

/// Asks until it holds; four minutes at most: a whole rehearsal estimates hundreds of times.
pub(crate) fn wait_for(
    server: &Running,
    id: &str,
    what: &str,
    holds: impl Fn(&Value) -> bool,
) -> Value {
    let until = Instant::now() + Duration::from_mins(4);
    while Instant::now() < until {
        let run = run(server, id);
        if holds(&run) {
            return run;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    panic!("{what}: {}", run(server, id)["knowledge"]);
}

#[test]
fn a_house_a_forecast_and_an_own_still() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let plan = plan(&server);
    let forecast = server.post("/api/forecast", &json!({"plan": plan}));
    assert_eq!(forecast.status, 200, "{forecast:?}");
    let forecast = forecast.json();
    assert!(forecast["heat_up_min"].as_f64().unwrap() > 5.0);
    assert_eq!(forecast["steps"][0]["do"], "heat");
    assert!(forecast["balance"]["ethanol_rel"].as_f64().unwrap().abs() < 1e-9);
    assert!(forecast["rows"].as_array().unwrap().len() > 30);
    let jars = forecast["jars"].as_array().unwrap();
    assert!(jars.len() >= 3 && jars.iter().all(|jar| jar["status"] == "expected"), "{jars:?}");
    let jars_ml: f64 = jars.iter().map(|jar| jar["volume_ml"].as_f64().unwrap()).sum();
    let litres = forecast["totals"]["litres_20c"].as_f64().unwrap();
    assert!((jars_ml / 1000.0 / litres - 1.0).abs() < 0.01, "{jars_ml} mL of {litres} L");
    let own = json!({
        "name": "Shed still", "kind": "column", "boiler_litres": 25,
        "elements_watts": [500, 1700], "overrides": {"stages": 9},
    });
    let answer = server.send("PUT", "/api/house/own", &own);
    assert_eq!(answer.status, 200, "{answer:?}");
    let house = server.get("/api/house").json();
    assert_eq!(house["own"]["still"]["stages"], 9.0);
    let defaulted = house["own"]["defaulted"].as_array().unwrap();
    assert!(defaulted.contains(&json!("holdup_litres")) && !defaulted.contains(&json!("stages")));
}

#[test]
fn a_still_of_ones_own_follows_from_what_was_measured_and_says_from_what() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let own = json!({
        "name": "Shed still", "kind": "column", "boiler_litres": 28, "elements_watts": [2000, 1500],
        "measured": {
            "diameter_mm": 50, "height_mm": 1000, "column_probe_mm": 480, "filling": {"pieces": 5},
            "column_lagged": false, "boiler_lagged": true, "metal": "copper",
        },
        "overrides": {"holdup_litres": 0.3},
    });
    let kept = server.send("PUT", "/api/house/own", &own);
    assert_eq!(kept.status, 200, "{kept:?}");
    server.stop();
    let house = start(folder.path()).get("/api/house").json();
    assert_eq!(house["own"], kept.json(), "kept with the still");
    // 1000 mm over 18 x 5 mm, to the half stage; 2.2 kW of vapour in 50 mm, run at 0.8 of it.
    assert_eq!(house["own"]["still"]["stages"], 11.0);
    assert_eq!(house["own"]["still"]["column_probe_fraction"], 0.48);
    assert_eq!((&house["own"]["heat_w"], &house["own"]["run_w"]), (&json!(3500.0), &json!(1760.0)));
    assert_eq!(house["own"]["measured"]["filling"], json!({"pieces": 5.0}));
    let derived = house["own"]["derived"].as_array().unwrap();
    let why = |key: &str| derived.iter().find(|one| one["key"] == key).map(|one| &one["from"]);
    assert_eq!(why("stages"), Some(&json!("pieces of 5 mm, 90 mm of it for each stage")));
    assert_eq!(why("holdup_litres"), None, "said, not derived");
    let server = start(folder.path());
    let mut wide = own;
    wide["measured"]["diameter_mm"] = json!(5);
    let refused = server.send("PUT", "/api/house/own", &wide);
    assert_eq!(
        (refused.status, refused.json()["field"].as_str()),
        (422, Some("measured.diameter_mm"))
    );
}

#[test]
fn a_rehearsal_that_cannot_be_simulated_is_refused_and_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let mut plan = plan(&server);
    plan["still"]["elements_watts"] = json!([100.0]);
    for step in plan["step"].as_array_mut().unwrap() {
        step.as_object_mut().unwrap().remove("watts");
    }
    let ask = json!({"plan": plan, "mode": "rehearsal", "example": true});
    let answer = server.post("/api/runs", &ask);
    assert_eq!((answer.status, &answer.json()["code"]), (422, &json!("never_boils")), "{answer:?}");
    assert_eq!(server.get("/api/runs").json(), json!([]));
}

#[test]
fn run_time_begins_with_the_heater_and_rows_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let begin = json!({"plan": plan(&server), "mode": "real"});
    let id = server.post("/api/runs", &begin).json()["id"].as_str().unwrap().to_owned();
    server.pass_ms(60_000);
    assert_eq!(run(&server, &id)["started"], false);
    let actions = format!("/api/runs/{id}/actions");
    let heater = json!({"action": "heater", "value": 3000, "unit": "W"});
    assert_eq!(server.post(&actions, &heater).status, 200);
    assert_eq!(run(&server, &id)["started_ms"], NOON_MS + 60_000);
    server.pass_ms(30_250);
    let row = json!({"rows": [{"head_c": 18.5, "pot_c": 22.25}]});
    let stored = server.post(&format!("/api/runs/{id}/readings"), &row).json();
    assert_eq!(stored["accepted"], 1);
    let late = json!({"action": "note", "note": "tap opened", "ago_s": 20});
    assert_eq!(server.post(&actions, &late).status, 200);
    let shown = run(&server, &id);
    assert_eq!(shown["knowledge"]["state"], "heating", "{}", shown["knowledge"]);
    let done = shown["actions"].as_array().unwrap();
    assert_eq!(done.len(), 2);
    assert_eq!(done[1]["time_s"], 10.25);
    let runs = server.get("/api/runs").json();
    assert_eq!(runs[0]["id"].as_str(), Some(id.as_str()));
    assert_eq!(runs[0]["state"], "running");
}

#[test]
fn what_was_said_comes_again_from_the_last_id() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = rehearsal(&server, 2000.0, true);
    let mut feed = server.follow(&id, Some(0));
    let first = feed.receive();
    assert_eq!(first.event, "knowledge");
    let told: Vec<_> = (0..3).map(|_| feed.next_of("said")).collect();
    let ids: Vec<u64> = told.iter().map(|one| one.id.expect("an id")).collect();
    assert!(ids.windows(2).all(|pair| pair[0] < pair[1]), "{ids:?}");
    let mut again = server.follow(&id, Some(ids[0]));
    assert_eq!(again.receive().event, "knowledge");
    let missed = again.next_of("said");
    assert_eq!((missed.id, &missed.data), (Some(ids[1]), &told[1].data));
    let speed = server.send("PUT", &format!("/api/runs/{id}/speed"), &json!({"speed": 0}));
    assert_eq!(speed.status, 200);
    assert_eq!(feed.next_of("speed").data["speed"], 0.0);
    let before = run(&server, &id)["knowledge"]["time_s"].clone();
    std::thread::sleep(Duration::from_millis(600));
    assert_eq!(run(&server, &id)["knowledge"]["time_s"], before, "halted");
}

#[test]
fn a_stopped_server_goes_on_where_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let real = real_run(&server);
    let rehearsed = rehearsal(&server, 3000.0, true);
    server.pass_ms(20_000);
    let readings = format!("/api/runs/{real}/readings");
    for step in 0..5 {
        server.pass_ms(10_000);
        let row = json!({"rows": [{"head_c": 18.0 + f64::from(step), "pot_c": 20.0}]});
        assert_eq!(server.post(&readings, &row).status, 200);
    }
    let far = |run: &Value| run["knowledge"]["time_s"].as_f64().unwrap() > 1500.0;
    wait_for(&server, &rehearsed, "the rehearsal goes on", far);
    let halt = server.send("PUT", &format!("/api/runs/{rehearsed}/speed"), &json!({"speed": 0}));
    assert_eq!(halt.status, 200);
    let (real_before, before) = (run(&server, &real), run(&server, &rehearsed));
    server.stop();

    let server = start_at(folder.path(), NOON_MS + 200_000);
    let after = run(&server, &rehearsed);
    let lines = |run: &Value, name: &str| -> Vec<String> {
        run[name].as_array().unwrap().iter().map(ToString::to_string).collect()
    };
    assert_eq!(lines(&after, "events"), lines(&before, "events"));
    assert_eq!(lines(&after, "actions"), lines(&before, "actions"));
    let (t0, t1) = (&before["knowledge"]["time_s"], &after["knowledge"]["time_s"]);
    assert!(t0.as_f64().unwrap() - t1.as_f64().unwrap() <= 10.0, "{t0} then {t1}");
    let real_after = run(&server, &real);
    assert_eq!(real_after["readings"]["head_c"][2], real_before["readings"]["head_c"][2]);
    assert_eq!(real_after["knowledge"]["time_s"], 199.0);
    let channels = real_after["knowledge"]["channels"].as_array().unwrap();
    let head = channels.iter().find(|channel| channel["name"] == "head_c").unwrap();
    assert_eq!(head["quality"], "stale", "the gap shows");
    assert_eq!(server.get("/api/runs").json().as_array().unwrap().len(), 1, "own runs only");
    assert_eq!(server.get("/api/runs?example=true").json().as_array().unwrap().len(), 1);
    store::Store::open_read_only(folder.path()).unwrap().verify().unwrap();
}

#[test]
fn a_person_at_a_rehearsal_is_not_forgotten() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = rehearsal(&server, 3000.0, false);
    let actions = format!("/api/runs/{id}/actions");
    let act = |server: &Running, ask: Value| {
        let answer = server.post(&actions, &ask);
        assert_eq!(answer.status, 200, "{answer:?}");
        answer.json()["entry"].as_u64().unwrap()
    };
    std::thread::sleep(Duration::from_millis(400));
    assert_eq!(run(&server, &id)["knowledge"]["state"], "before_heat");
    act(&server, json!({"action": "coolant", "value": 1.5, "unit": "l_per_min"}));
    let heater = act(&server, json!({"action": "heater", "value": 3000, "unit": "W"}));
    let far = |s: f64| move |run: &Value| run["knowledge"]["time_s"].as_f64().unwrap() > s;
    let heats = wait_for(&server, &id, "it heats", far(1200.0));
    let done: Vec<_> = heats["actions"].as_array().unwrap().iter().map(|a| &a["action"]).collect();
    assert_eq!(done, ["coolant", "heater"], "what is done is the person's, once");
    assert!((heats["knowledge"]["heater_w"].as_f64().unwrap() / 3000.0 - 1.0).abs() < 0.05);
    let undone = server.post(&format!("/api/runs/{id}/undo"), &json!({"entry": heater}));
    assert_eq!(undone.json()["code"], "has_moved_on");
    act(&server, json!({"action": "heater", "value": 0, "unit": "W"}));
    let cold =
        server.post(&actions, &json!({"action": "heater", "value": 1, "unit": "W", "ago_s": 60}));
    assert_eq!(cold.json()["code"], "only_now");
    let halt = |server: &Running| {
        server.send("PUT", &format!("/api/runs/{id}/speed"), &json!({"speed": 0}))
    };
    wait_for(&server, &id, "it cools", far(2400.0));
    assert_eq!(halt(&server).status, 200);
    let before = run(&server, &id);
    server.stop();
    let server = start(folder.path());
    let after = run(&server, &id);
    assert_eq!(after["actions"], before["actions"]);
    assert_eq!(after["events"], before["events"]);
    assert_eq!(after["readings"]["pot_c"], before["readings"]["pot_c"]);
    assert_eq!(after["speed"], 0.0);
    let faster = server.send("PUT", &format!("/api/runs/{id}/speed"), &json!({"speed": 2000}));
    assert_eq!(faster.status, 200);
    let halted_s = before["knowledge"]["time_s"].as_f64().unwrap();
    let on = wait_for(&server, &id, "it goes on", far(halted_s + 900.0));
    let pot = |run: &Value| {
        run["readings"]["pot_c"].as_array().unwrap().iter().rev().find_map(Value::as_f64)
    };
    assert!(pot(&on) < pot(&before), "the heater is still off: the pot cools");
    assert_eq!(server.post(&format!("/api/runs/{id}/end"), &json!({})).status, 200);
    assert_eq!(run(&server, &id)["knowledge"]["state"], "ended");
    let jar = json!({"jar": 1, "start_s": 100, "end_s": 200, "volume_ml": 50});
    assert_eq!(server.post(&format!("/api/runs/{id}/jars"), &jar).status, 200, "gauged later");
}

#[test]
fn a_whole_rehearsal_ends_and_its_folder_says_the_same_again() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = rehearsal(&server, 10_000.0, true);
    let over = wait_for(&server, &id, "the rehearsal ends", |run| !run["ended"].is_null());
    let said: Vec<(f64, String)> = over["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| (e["time_s"].as_f64().unwrap(), e["code"].as_str().unwrap().to_owned()))
        .collect();
    assert!(said.iter().any(|(_, code)| code == "hearts_end_near"), "{said:?}");
    let sheet = server.get(&format!("/api/runs/{id}/sheet"));
    assert_eq!(sheet.status, 200);
    let policy = sheet.header("content-security-policy").unwrap();
    assert!(policy.starts_with("default-src 'none'; style-src 'unsafe-inline'"), "{policy}");
    let words = String::from_utf8(sheet.body).unwrap();
    for there in ["Over at ", "url(#heads)", "Alarms and answers", "<b>1</b> foreshots", "digest"] {
        assert!(words.contains(there), "{there}: {words}");
    }
    let answer = server.get(&format!("/api/runs/{id}/folder.zip"));
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("content-type").as_deref(), Some("application/zip"));
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(answer.body)).unwrap();
    let unpacked = folder.path().join("unpacked");
    archive.extract(&unpacked).unwrap();
    let read = store::folder::read(&unpacked.join(&id)).unwrap();
    let mut again = Vec::new();
    let options = advise::LiveOptions { estimate: false, ..advise::LiveOptions::default() };
    advise::replay_as(&read.plan, &read.rows, options, &mut |event, _| {
        again.push((event.time_s, event.code.to_owned()));
    })
    .unwrap();
    assert_eq!(again, said);
    assert_eq!(
        server.post(&format!("/api/runs/{id}/actions"), &json!({"action": "here"})).status,
        409
    );
}

#[test]
fn the_bench_answers_in_the_names_of_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let ask = |path: &str, body: Value| {
        let answer = server.post(path, &body);
        assert_eq!(answer.status, 200, "{answer:?}");
        answer.json()
    };
    let near = |value: &Value, expected: f64, within: f64| {
        let value = value.as_f64().unwrap();
        assert!((value - expected).abs() <= within, "{value} is not {expected}");
    };
    // A glass that is true at 20 °C reads the strength at 20 °C: what its scale means.
    let gauge = ask("/api/bench/gauge", json!({"reading": 40, "celsius": 20}));
    near(&gauge["strength_vol_20c"], 40.0, 1e-9);
    // Mass balance: what is put together has the mass of its parts, and of pure alcohol as much.
    let blend =
        json!({"parts": [{"litres": 2, "strength_vol": 90}, {"litres": 1, "strength_vol": 0}]});
    near(&ask("/api/bench/blend", blend)["pure_alcohol_l"], 1.8, 1e-9);
    let reduce = ask("/api/bench/reduce", json!({"litres": 1, "from": 90, "to": 45}));
    near(&reduce["naive_water_l"], 1.0, 1e-9);
    near(&reduce["product_l_20c"], 2.0, 1e-9);
    assert!(reduce["water_l_20c"].as_f64() > Some(1.0), "the blend shrinks: {reduce}");
    // Boiling point of water at one atmosphere, 100 °C (by the old definition of the scale).
    let water = ask("/api/bench/liquid", json!({"vol": 0}));
    near(&water["boiling_c"], 100.0, 0.05);
    assert_eq!(water["vapour_mole_fraction"], 0.0);
}

#[test]
fn the_page_is_served_with_a_tag_and_answers_are_packed() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let page = server.get("/");
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type").as_deref(), Some("text/html; charset=utf-8"));
    let tag = page.header("etag").unwrap();
    let again = server.ask_with("GET", "/index.html", &format!("If-None-Match: {tag}\r\n"), b"");
    assert_eq!(again.status, 304);
    assert_eq!(server.get("/run/some-id").header("location").as_deref(), Some("/"));
    assert_eq!(server.get("/assets/none.css").status, 404);
    let packed = server.ask_with("GET", "/api/openapi.json", "Accept-Encoding: gzip\r\n", b"");
    assert_eq!(packed.header("content-encoding").as_deref(), Some("gzip"));
}
