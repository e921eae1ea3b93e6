//! The course of a run: given up, named, fed by a device, gauged later, gone on with, its log, plans.

use serde_json::{Value, json};

use crate::acts::heated;
use crate::common::{real_run, start};
use crate::runs::run;

#[test]
fn a_run_is_given_up_for_a_reason_and_stays_so_in_the_list() {
    let run = heated();
    assert_eq!(run.code("abandon", &json!({"reason": " "})), "value_out_of_range");
    run.ok("abandon", &json!({"reason": "a hose came off"}));
    let shown = run.shown();
    assert_eq!(shown["abandoned"], "a hose came off");
    assert!(!shown["ended"].is_null());
    let listed = run.server.get("/api/runs").json();
    assert_eq!((&listed[0]["state"], &listed[0]["ended"]), (&json!("abandoned"), &json!(true)));
    assert_eq!(listed[0]["counts_for_learning"], false);
    let learned = run.post("learn", &json!({}));
    assert_eq!(learned.json()["code"], "left_out", "{learned:?}");
    assert_eq!(run.code("actions", &json!({"action": "here"})), "run_ended");
    run.ok("notes", &json!({"text": "new hose bought"}));
}

#[test]
fn runs_have_names_are_found_by_them_and_the_newest_comes_first() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let first = real_run(&server);
    server.pass_ms(60_000);
    let second = real_run(&server);
    let name = json!({"name": "Plum, second run"});
    assert_eq!(server.send("PUT", &format!("/api/runs/{first}/name"), &name).status, 200);
    assert_eq!(run(&server, &first)["title"], "Plum, second run");
    let ids = |query: &str| -> Vec<String> {
        let list = server.get(&format!("/api/runs{query}")).json();
        list.as_array().unwrap().iter().map(|run| run["id"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(ids(""), [second.clone(), first.clone()]);
    assert_eq!(ids("?search=second%20PLUM"), std::slice::from_ref(&first));
    assert_eq!(ids("?search=gooseberry"), Vec::<String>::new());
    let list = server.get("/api/runs").json();
    assert_eq!((&list[0]["mode"], &list[0]["rehearsed"]), (&json!("real"), &json!(false)));
    assert!(list[0]["litres"].as_f64().unwrap() > 1.0 && list[0]["still"].is_string());
    let out = server.send("PUT", &format!("/api/runs/{first}/learning"), &json!({"count": false}));
    assert_eq!(out.status, 200, "{out:?}");
    let list = server.get("/api/runs").json();
    assert_eq!(list[1]["counts_for_learning"], false);
}

#[test]
fn a_device_posts_to_the_running_run_of_its_still_by_its_own_clock() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let still = crate::common::plan(&server)["still"]["name"].as_str().unwrap().to_owned();
    let escaped = still.bytes().fold(String::new(), |path, byte| format!("{path}%{byte:02X}"));
    let path = format!("/api/stills/{escaped}/readings");
    let row = json!({"rows": [{"head_c": 20.0}]});
    assert_eq!(server.post(&path, &row).json()["code"], "no_run_going_on");
    let id = real_run(&server);
    server.pass_ms(30_000);
    // 1 790 000 000 s of Unix time is 2026-09-21T14:13:20Z.
    let at = |text: &str| json!({"rows": [{"at": text, "head_c": 20.0}]});
    let stored = server.post(&path, &at("2026-09-21T16:13:40+02:00"));
    assert_eq!(stored.status, 200, "{stored:?}");
    let times = run(&server, &id)["last_entry"].as_u64().unwrap();
    let store = store::Store::open_read_only(folder.path()).unwrap();
    let rows = store.run(&store::RunId::new(&id)).unwrap().rows.readings;
    assert_eq!(rows.last().unwrap().0, 20.0, "20 s after heater on");
    assert!(times > 3);
    for wrong in ["2026-09-21T14:00:00Z", "2026-09-21T15:00:00Z", "yesterday"] {
        let refused = server.post(&path, &at(wrong));
        assert_eq!((refused.status, &refused.json()["field"]), (422, &json!("rows[0].at")));
    }
    let both = json!({"rows": [{"at": "2026-09-21T14:13:45Z", "time_s": 25, "head_c": 20.0}]});
    assert_eq!(server.post(&path, &both).status, 422);
    assert_eq!(server.post(&path, &row).status, 200, "neither: now");
    real_run(&server);
    let which = server.post(&path, &row);
    assert_eq!((which.status, which.json()["code"].as_str()), (409, Some("which_run")));
    assert!(which.json()["detail"].as_str().unwrap().contains(&id), "{which:?}");
}

#[test]
fn a_jar_is_gauged_by_its_number_after_the_run() {
    let run = heated();
    run.to_hearts();
    run.server.pass_ms(600_000);
    run.ok("actions", &json!({"action": "jar", "value": 9}));
    run.server.pass_ms(60_000);
    run.ok("end", &json!({}));
    run.server.pass_ms(3_600_000);
    run.ok("jars", &json!({"jar": 3, "temperature_c": 20, "apparent_vol": 91}));
    let shown = run.shown();
    let jars = shown["knowledge"]["jars"].as_array().unwrap();
    let jar = jars.iter().find(|jar| jar["number"] == 3).expect("jar 3");
    assert_eq!(jar["measured"], true);
    assert!((jar["strength_vol"].as_f64().unwrap() - 91.0).abs() < 0.1, "{jar}");
    assert_eq!(run.code("jars", &json!({"jar": 77, "apparent_vol": 91})), "value_out_of_range");
}

#[test]
fn a_run_goes_on_after_an_interruption() {
    let run = heated();
    run.to_hearts();
    assert_eq!(run.code("go_on", &json!({})), "not_interrupted");
    run.ok("actions", &json!({"action": "heater", "value": 0, "unit": "W"}));
    run.server.pass_ms(30_000);
    let known = run.shown()["knowledge"].clone();
    assert_eq!(known["state"], "interrupted");
    assert_eq!(known["instruction"]["text"], "close the take-off, heat, then equalise again");
    assert_eq!(known["would_help"], json!([]), "with no heat on there is something else to do");
    let on = run.ok("go_on", &json!({"key": "on"}));
    assert_eq!(run.ok("go_on", &json!({"key": "on"})), on);
    assert_eq!(run.step(), 1, "the column equalises again");
    let acts = run.acts();
    assert_eq!(&acts[acts.len() - 3..], ["heater 1800.0", "takeoff 0.0", "step equalise"]);
    let rate = &run.shown()["knowledge"]["takeoff_ml_per_min"]["at"]["p50"];
    assert_eq!(rate, 0.0, "a column that equalises gives nothing");
    run.ok("undo", &json!({"entry": on["entry"]}));
    assert_eq!(run.shown()["knowledge"]["state"], "interrupted");
    run.ok("go_on", &json!({"step": 4}));
    assert_eq!(run.step(), 4, "a short cut: straight on");
}

#[test]
fn the_end_is_told_once_in_the_log_and_an_alarm_whose_cause_is_gone_says_so() {
    let run = heated();
    run.to_hearts();
    let coolant = || {
        let list = run.shown()["knowledge"]["alarms"].as_array().unwrap().clone();
        list.into_iter().find(|alarm| alarm["code"] == "coolant_loss").expect("it stands")
    };
    assert_eq!(coolant()["text"], "There is vapour and no coolant runs.");
    run.ok("actions", &json!({"action": "coolant", "value": 1.8, "unit": "l_per_min"}));
    run.server.pass_ms(90_000);
    run.ok("actions", &json!({"action": "here"}));
    let over = coolant();
    assert_eq!(over["text"], "Over, to be reset: coolant.");
    assert_eq!(
        (&over["do"], &over["within_s"]),
        (&json!("Look at the still, then reset the alarm."), &Value::Null,)
    );
    run.ok("end", &json!({}));
    let log = run.log();
    let ends = |part: &str| {
        log.iter().filter(|line| line["words"].as_str().unwrap().contains(part)).count()
    };
    assert_eq!((ends("The run is over"), ends("In all")), (1, 0), "{log:?}");
}

#[test]
fn the_log_is_whole_page_by_page_in_words() {
    let run = heated();
    run.ok("checks", &json!({"ticked": ["Coolant runs.", "Vent is open."], "by": "A. B."}));
    for second in 0..30 {
        run.server.pass_ms(1000);
        run.ok("readings", &json!({"rows": [{"head_c": 20.0 + f64::from(second) / 10.0}]}));
    }
    run.to_hearts();
    let all = run.log();
    let mut paged: Vec<Value> = Vec::new();
    let mut before = String::new();
    for _ in 0..100 {
        let page = run.server.get(&format!("/api/runs/{}/log?limit=3{before}", run.id)).json();
        paged.extend(page["entries"].as_array().unwrap().clone());
        if page["more"] == false {
            break;
        }
        before = format!("&before={}", page["next_before"]);
    }
    assert_eq!(paged, all, "page by page, the same");
    let words: Vec<&str> = all.iter().map(|line| line["words"].as_str().unwrap()).collect();
    assert!(words.contains(&"30 rows of readings"), "{words:?}");
    assert!(words.contains(&"Check list signed by A. B.: 2 points"));
    let list = all.iter().find(|line| line["kind"] == "checks").unwrap();
    assert_eq!(list["note"], "Coolant runs; Vent is open");
    assert!(words.last().unwrap().starts_with("Run: "), "{words:?}");
    assert!(words.iter().all(|words| !words.contains('_') && !words.is_empty()), "{words:?}");
    assert_eq!(run.server.get(&format!("/api/runs/{}/log?limit=0", run.id)).status, 422);
}

#[test]
fn each_line_of_the_list_keeps_who_signed_it_and_when_also_after_a_new_start() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let items = run(&server, &id)["before_heat"].as_array().unwrap().clone();
    let words = |i: usize| items[i]["words"].as_str().unwrap().to_owned();
    let fill = items.iter().find(|item| item["code"] == "fill").unwrap();
    assert_eq!(fill["finding"], "holds", "{fill}");
    assert!(
        items.len() >= 15 && items.iter().filter(|item| item["finding"] == "asked").count() >= 12
    );
    let sign = |lines: &[String], by: &str| {
        let signed = json!({"ticked": lines, "by": by});
        assert_eq!(server.post(&format!("/api/runs/{id}/checks"), &signed).status, 200);
        server.pass_ms(60_000);
    };
    sign(&[words(0), words(1)], "A. B.");
    sign(&[words(1), words(2)], "C. D.");
    let signed = run(&server, &id)["checks"]["signed"].clone();
    let by: Vec<&str> = (0..2).map(|i| signed[i]["by"].as_str().unwrap()).collect();
    assert_eq!(by, ["A. B.", "C. D."], "{signed}");
    let at = |i: usize| signed[i]["at_ms"].as_i64().unwrap();
    assert_eq!(at(1) - at(0), 60_000);
    server.stop();
    let again = start(folder.path());
    assert_eq!(run(&again, &id)["checks"]["signed"], signed);
}

#[test]
fn the_jars_of_a_run_are_cut_and_spirit_is_taken_down_and_bottled() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let cuts = |query: &str| server.get(&format!("/api/runs/{id}/cuts{query}"));
    let none = cuts("").json();
    assert_eq!((&none["hearts"], &none["jars"]), (&Value::Null, &json!([])), "{none}");
    assert!(none["methanol"].as_str().unwrap().starts_with("Cuts do not take methanol out"));
    for (query, field) in
        [("?category=moonshine", "category"), ("?jars=3", "jars"), ("?jars=x", "jars")]
    {
        let refused = cuts(query);
        assert_eq!((refused.status, &refused.json()["field"]), (422, &json!(field)), "{query}");
    }
    let down = json!({"litres": 5, "from": 64, "to": 43, "steps": 3, "gauged": [57.2]});
    let steps = server.post("/api/bench/steps", &down).json();
    assert_eq!(
        (&steps["steps"][0]["gauged"], steps["steps"].as_array().unwrap().len()),
        (&json!(57.2), 3)
    );
    let tank = json!({"litres": 20, "reading": 40, "celsius": 20, "step_vol": 0.1, "label": 40, "size_ml": 500, "country": "us"});
    let lot = server.post("/api/bench/bottling", &tank).json();
    assert_eq!(lot["bottles"], 40, "{lot}");
    let at_once =
        server.post("/api/bench/reduce", &json!({"litres": 5, "from": 64, "to": 43})).json();
    assert!(at_once["first_pour_kg"].as_f64() < at_once["water_kg"].as_f64());
}

#[test]
fn plans_are_saved_by_name_on_every_device() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let kept = json!({"name": "Plum", "plan": crate::common::plan(&server)});
    let listed = server.send("PUT", "/api/plans", &kept);
    assert_eq!(listed.status, 200, "{listed:?}");
    assert_eq!(listed.json()[0]["name"], "Plum");
    server.stop();
    let server = start(folder.path());
    assert_eq!(server.get("/api/plans").json()[0]["plan"], kept["plan"]);
    let dropped = server.ask_with("DELETE", "/api/plans?name=Plum", "", b"");
    assert_eq!((dropped.status, dropped.json()), (200, json!([])));
    let again = server.ask_with("DELETE", "/api/plans?name=Plum", "", b"");
    assert_eq!((again.status, again.json()["code"].as_str()), (404, Some("no_such_plan")));
}
