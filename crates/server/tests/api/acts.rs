//! Acts: a step begun once however often it is asked for, whatever was recorded taken back or
//! corrected at any time, unlikely entries asked about, keys of requests.

use serde_json::{Value, json};

use crate::common::{Answer, NOON_MS, Running, real_run, start, start_at};
use crate::runs::run;

pub(crate) struct Run {
    pub(crate) server: Running,
    pub(crate) id: String,
    _folder: tempfile::TempDir,
}

/// A real run of the example house's column whose time counts.
pub(crate) fn heated() -> Run {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let house = server.get("/api/house").json();
    let plans = house["example"]["plans"].as_array().unwrap();
    let slow = |plan: &&Value| {
        let kinds: Vec<_> = plan["step"].as_array().unwrap().iter().map(|s| &s["do"]).collect();
        kinds.windows(2).any(|two| two[0] == "hearts" && two[1] == "hearts")
    };
    let mut plan = plans.iter().find(slow).expect("a plan with slow hearts").clone();
    plan.as_object_mut().unwrap().remove("id");
    let ask = json!({"plan": plan, "mode": "real", "started": true});
    let id = server.post("/api/runs", &ask).json()["id"].as_str().unwrap().to_owned();
    server.pass_ms(5000);
    Run { server, id, _folder: folder }
}

impl Run {
    pub(crate) fn post(&self, what: &str, ask: &Value) -> Answer {
        self.server.post(&format!("/api/runs/{}/{what}", self.id), ask)
    }

    pub(crate) fn ok(&self, what: &str, ask: &Value) -> Value {
        let answer = self.post(what, ask);
        assert_eq!(answer.status, 200, "{what} {ask}: {answer:?}");
        answer.json()
    }

    pub(crate) fn code(&self, what: &str, ask: &Value) -> String {
        let answer = self.post(what, ask);
        assert_eq!(answer.status / 100, 4, "{what} {ask}: {answer:?}");
        answer.json()["code"].as_str().unwrap().to_owned()
    }

    pub(crate) fn shown(&self) -> Value {
        run(&self.server, &self.id)
    }

    pub(crate) fn step(&self) -> u64 {
        self.shown()["knowledge"]["step"]["index"].as_u64().unwrap()
    }

    /// The words of what was done, in order.
    pub(crate) fn acts(&self) -> Vec<String> {
        let shown = self.shown();
        let word = |row: &Value| {
            let (action, note) = (row["action"].as_str().unwrap(), row["note"].as_str().unwrap());
            format!("{action} {note}{}", row["value"]).replace("null", "")
        };
        shown["actions"].as_array().unwrap().iter().map(word).collect()
    }

    pub(crate) fn begin(&self, step: u64) -> Value {
        self.ok("begin", &json!({"step": step, "after": step - 1}))
    }

    pub(crate) fn to_hearts(&self) {
        for step in 1..=4 {
            self.begin(step);
            self.server.pass_ms(60_000);
        }
    }

    pub(crate) fn log(&self) -> Vec<Value> {
        let answer = self.server.get(&format!("/api/runs/{}/log?limit=500", self.id));
        assert_eq!(answer.status, 200, "{answer:?}");
        answer.json()["entries"].as_array().unwrap().clone()
    }
}

#[test]
fn two_taps_180_ms_apart_begin_one_step_and_not_the_slow_hearts() {
    let run = heated();
    for step in 1..=3 {
        run.begin(step);
        run.server.pass_ms(60_000);
    }
    let first = run.begin(4);
    assert_eq!(first["already"], false);
    let acts = run.acts();
    run.server.pass_ms(180);
    let second = run.begin(4);
    assert_eq!((&second["already"], &second["entry"]), (&json!(true), &Value::Null));
    assert_eq!((run.step(), run.acts()), (4, acts.clone()), "hearts, and nothing was stored");
    // A second browser that has not heard of it, and a packet from three steps ago.
    run.server.pass_ms(30_000);
    assert_eq!(run.begin(4)["already"], true);
    let late = run.post("begin", &json!({"step": 2, "after": 1}));
    assert_eq!((late.status, late.json()["code"].as_str()), (409, Some("not_that_step")));
    assert!(late.json()["detail"].as_str().unwrap().starts_with("hearts runs now"), "{late:?}");
    assert_eq!(run.acts(), acts);
    // The same kind comes next: the number says which hearts are meant.
    assert_eq!(run.begin(5)["already"], false);
    assert_eq!(run.step(), 5);
    assert_eq!(run.begin(5)["already"], true);
    // Somebody who still sends the bare step is not taken at two words.
    let run = heated();
    run.ok("actions", &json!({"action": "step", "note": "hearts"}));
    run.server.pass_ms(180);
    assert_eq!(run.code("actions", &json!({"action": "step", "note": "hearts"})), "just_begun");
    assert_eq!(run.step(), 4);
}

#[test]
fn a_begun_step_is_one_act_in_the_order_of_the_plan_and_a_replay_says_the_same() {
    let run = heated();
    run.to_hearts();
    let acts = run.acts();
    let hearts: Vec<&str> = acts.iter().rev().take(3).rev().map(String::as_str).collect();
    assert_eq!(hearts, ["step hearts", "takeoff 22.0", "jar 3.0"], "{acts:?}");
    assert_eq!(&acts[..4], ["heater 3500.0", "heater 1800.0", "step equalise", "step foreshots"]);
    run.begin(5);
    let acts = run.acts();
    assert_eq!(&acts[acts.len() - 2..], ["step hearts", "takeoff 13.0"], "the jar stays");
    run.server.pass_ms(60_000);
    run.ok("end", &json!({}));
    let said: Vec<(f64, String)> = run.shown()["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| (e["time_s"].as_f64().unwrap(), e["code"].as_str().unwrap().to_owned()))
        .collect();
    let answer = run.server.get(&format!("/api/runs/{}/folder.zip", run.id));
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(answer.body)).unwrap();
    let unpacked = tempfile::tempdir().unwrap();
    archive.extract(unpacked.path()).unwrap();
    let read = store::folder::read(&unpacked.path().join(&run.id)).unwrap();
    let origin = read.origin.clone().expect("record.toml");
    assert_eq!((origin.run.as_deref(), origin.rehearsed), (Some(run.id.as_str()), Some(false)));
    let mut again = Vec::new();
    advise::replay(&read.plan, &read.rows, &mut |event, _| {
        again.push((event.time_s, event.code.to_owned()));
    })
    .unwrap();
    // A person ends a run some time after the last row: a folder ends with that row.
    let sorted = |mut said: Vec<(f64, String)>| {
        said.retain(|(_, code)| code != "run_ended");
        said.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        said
    };
    assert_eq!(sorted(again), sorted(said));
}

#[test]
fn a_step_is_taken_back_whole() {
    let run = heated();
    run.to_hearts();
    let before = run.acts();
    let begun = run.begin(5);
    run.server.pass_ms(3_600_000);
    let of_the_act = begun["entries"][2].clone();
    run.ok("undo", &json!({"entry": of_the_act}));
    assert_eq!((run.acts(), run.step()), (before, 4), "an hour later, by one of its entries");
    let again = run.ok("undo", &json!({"entry": begun["entry"]}));
    assert_eq!(again["already"], true, "a second person sees the same slip");
    let struck: Vec<Value> =
        run.log().into_iter().filter(|line| !line["withdrawn_by"].is_null()).collect();
    assert_eq!(struck.len(), 3, "{struck:?}");
}

#[test]
fn a_wrong_take_off_is_corrected_an_hour_later_and_all_later_reckoning_follows() {
    let run = heated();
    run.to_hearts();
    let litres = |run: &Run| {
        // Somebody who records something waits until run time is where it should be.
        run.ok("actions", &json!({"action": "here"}));
        run.shown()["knowledge"]["drawn"]["litres"]["at"]["p50"].as_f64().unwrap()
    };
    let wrong = json!({"action": "takeoff", "value": 220, "unit": "ml_per_min"});
    let asked = run.post("actions", &wrong);
    assert_eq!((asked.status, asked.json()["code"].as_str()), (409, Some("unlikely")));
    assert_eq!(asked.json()["what"], "220 is ten times the plan; 22?");
    assert_eq!(asked.json()["suggest"], 22.0);
    let mut sure = wrong;
    sure["sure"] = json!(true);
    let entry = run.ok("actions", &sure)["entry"].clone();
    run.server.pass_ms(600_000);
    run.server.pass_ms(3_000_000);
    let drawn = litres(&run);
    let right = json!({"action": "takeoff", "value": 22, "unit": "ml_per_min"});
    let corrected = run.ok("correct", &json!({"entry": entry, "action": right}))["entry"].clone();
    let now = litres(&run);
    assert!(now < 0.5 * drawn, "{drawn} L then {now} L");
    assert!((now - 0.022 * 60.0).abs() < 0.1, "an hour at 22 mL/min: {now} L");
    let line =
        |entry: &Value| run.log().into_iter().find(|line| line["entry"] == *entry).expect("a line");
    assert_eq!(line(&entry)["corrected_by"], corrected);
    assert_eq!(
        line(&entry)["words"],
        "Take-off changed to 220 mL/min",
        "struck through, not rubbed out"
    );
    assert_eq!(line(&corrected)["words"], "Take-off changed to 22 mL/min");
    assert_eq!(line(&corrected)["time_s"], line(&entry)["time_s"], "the same run time");
    // Also after the end: the figures of the end follow.
    run.ok("end", &json!({}));
    let before = run.shown()["ended"]["litres_20c"].as_f64().unwrap();
    let closed = json!({"action": "takeoff", "value": 0, "unit": "ml_per_min"});
    run.ok("correct", &json!({"entry": corrected, "action": closed}));
    let after = run.shown()["ended"]["litres_20c"].as_f64().unwrap();
    assert!(after < 0.5 * before, "{before} L then {after} L");
    let other = json!({"action": "note", "note": "what?"});
    assert_eq!(run.code("correct", &json!({"entry": corrected, "action": other})), "corrected");
    assert_eq!(run.post("undo", &json!({"entry": line(&entry)["entry"]})).status, 409);
}

#[test]
fn every_kind_of_entry_can_be_taken_back_also_after_the_end() {
    let run = heated();
    run.ok("begin", &json!({"step": 1, "after": 0}));
    run.server.pass_ms(60_000);
    let mut entries: Vec<Value> = [
        json!({"action": "heater", "value": 1000, "unit": "W"}),
        json!({"action": "takeoff", "value": 20, "unit": "ml_per_min"}),
        json!({"action": "coolant", "value": 1.5, "unit": "l_per_min"}),
        json!({"action": "jar", "value": 1}),
        json!({"action": "gauge", "value": 88, "unit": "vol_at_20", "sure": true}),
        json!({"action": "note", "note": "a wasp in the jar"}),
    ]
    .iter()
    .map(|ask| run.ok("actions", ask)["entry"].clone())
    .collect();
    run.server.pass_ms(60_000);
    let jar = json!({"jar": 1, "start_s": 66, "end_s": 120, "volume_ml": 20, "sure": true});
    entries.push(run.ok("jars", &jar)["entry"].clone());
    entries.push(
        run.ok("checks", &json!({"ticked": ["Coolant runs"], "by": "A. B."}))["entry"].clone(),
    );
    entries.push(run.ok("jar_size", &json!({"ml": 300}))["entry"].clone());
    let shown = run.shown();
    assert_eq!((&shown["checks"]["by"], &shown["jar_size_ml"]), (&json!("A. B."), &json!(300.0)));
    run.ok("end", &json!({}));
    assert_eq!(run.ok("end", &json!({}))["already"], true);
    for entry in &entries {
        run.ok("undo", &json!({"entry": entry}));
    }
    let shown = run.shown();
    assert_eq!(run.acts(), ["heater 3500.0", "heater 1800.0", "step equalise"]);
    assert_eq!((&shown["checks"], &shown["jar_size_ml"]), (&Value::Null, &Value::Null));
    assert_eq!(shown["gauges"], json!([]));
    run.ok("notes", &json!({"text": "smells of pears"}));
    assert_eq!(run.log()[0]["words"], "smells of pears");
}

#[test]
fn what_is_unlikely_is_asked_about_in_words_and_taken_when_it_is_so() {
    let run = heated();
    let action = |action: &str, value: f64, unit: &str| json!({"action": action, "value": value, "unit": unit});
    for (ask, suggest) in [
        (action("heater", 35_000.0, "W"), json!(3500.0)),
        (action("coolant", 18.0, "l_per_min"), json!(1.8)),
        (action("gauge", 99.0, "vol_at_20"), Value::Null),
        (action("gauge", 80.0, "vol_at_215"), json!(21.5)),
    ] {
        if ask["unit"] == "vol_at_215" {
            // No thermometer of a glass reads that: refused, not asked about.
            assert_eq!(run.code("actions", &ask), "value_out_of_range");
            continue;
        }
        let asked = run.post("actions", &ask).json();
        assert_eq!(asked["code"], "unlikely", "{asked}");
        assert!(!asked["what"].as_str().unwrap().is_empty());
        assert_eq!(asked["field"], "value", "the doubted number is named");
        assert_eq!(asked.get("suggest").cloned().unwrap_or_default(), suggest, "{asked}");
    }
    let before = run.acts();
    let mut sure = action("coolant", 18.0, "l_per_min");
    sure["sure"] = json!(true);
    run.ok("actions", &sure);
    assert_eq!(run.acts().len(), before.len() + 1);
    run.server.pass_ms(60_000);
    let jar = json!({"jar": 1, "start_s": 10, "end_s": 60, "volume_ml": 30_000});
    assert_eq!(run.code("jars", &jar), "unlikely");
    let mut warm = jar.clone();
    warm["temperature_c"] = json!(215);
    warm["apparent_vol"] = json!(90);
    let asked = [&jar, &warm].map(|jar| run.post("jars", jar).json()["field"].clone());
    assert!(asked[0] == "volume_ml", "{asked:?}");
    let hot = json!({"action": "gauge", "value": 80.0, "unit": "vol_at_46"});
    assert_eq!(run.post("actions", &hot).json()["field"], "celsius");
}

#[test]
fn the_same_key_again_answers_the_same_and_changes_nothing_also_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    server.pass_ms(5000);
    let keyed = [
        ("actions", json!({"action": "note", "note": "tap opened", "key": "n1"})),
        ("begin", json!({"step": 1, "after": 0, "key": "b1"})),
        ("readings", json!({"rows": [{"head_c": 20.0}, {"head_c": 21.0}], "key": "r1"})),
    ];
    let ask = |server: &Running, (what, ask): &(&str, Value)| {
        let answer = server.post(&format!("/api/runs/{id}/{what}"), ask);
        assert_eq!(answer.status, 200, "{answer:?}");
        answer.json()
    };
    let first: Vec<Value> = keyed.iter().map(|one| ask(&server, one)).collect();
    let last = run(&server, &id)["last_entry"].clone();
    let second: Vec<Value> = keyed.iter().map(|one| ask(&server, one)).collect();
    assert_eq!(second, first);
    assert_eq!(run(&server, &id)["last_entry"], last);
    server.stop();
    let server = start_at(folder.path(), NOON_MS + 6000);
    let third: Vec<Value> = keyed.iter().map(|one| ask(&server, one)).collect();
    assert_eq!(third, first);
    let bad = json!({"action": "here", "key": "x".repeat(65)});
    assert_eq!(server.post(&format!("/api/runs/{id}/actions"), &bad).status, 422);
}

#[test]
fn a_residue_is_gauged_after_the_end_and_can_be_taken_back() {
    let run = heated();
    run.ok("end", &json!({}));
    let late = json!({"action": "heater", "value": 100.0, "unit": "W"});
    assert_eq!(run.code("actions", &late), "run_ended");
    let residue =
        json!({"action": "residue", "value": 12.5, "unit": "kg", "note": "1.5 vol_at_24.5"});
    let entry = run.ok("actions", &residue)["entry"].clone();
    let kept = |run: &Run| {
        let shown = run.shown();
        let rows = shown["actions"].as_array().unwrap().clone();
        rows.into_iter().find(|row| row["action"] == "residue")
    };
    let row = kept(&run).expect("it is kept");
    assert_eq!((&row["note"], &row["value"]), (&json!("1.5 vol_at_24.5"), &json!(12.5)));
    let slip = json!({"action": "residue", "value": 1250.0, "unit": "kg"});
    assert_eq!(run.code("actions", &slip), "unlikely");
    run.ok("undo", &json!({"entry": entry}));
    assert!(kept(&run).is_none());
}
