//! Stills over the wire: what was learned, a change of hardware, the balance of a run.

use std::time::{Duration, Instant};

use estimate::{
    Account, AlcoholBalance, Belief, Cause, Character, Learned, Parameter, Spread, Trait, Verdict,
};
use serde_json::{Value, json};
use store::{
    CalibratedFrom, CalibratedValue, FurtherRun, LeftOut, LessonSource, NotApart, StillCalibration,
    StillLesson, Store,
};

use crate::common::{Answer, NOON_MS, Running, plan, real_run, start};

/// What a folder taught about a still.
fn lesson(still: &str, source: LessonSource, runs: usize) -> StillLesson {
    let beliefs = vec![Belief { of: Trait::HeatLoss, mean: 0.25, sd: 0.125 }];
    let learned = Learned {
        title: "Second spirit run".to_owned(),
        start: "2026-09-01T08:00:00+02:00".to_owned(),
        run: beliefs.clone(),
        after: beliefs.clone(),
        counted: None,
    };
    let cause = Cause { code: "vapour_lost".into(), text: "Vapour was lost.".into(), odds: 1.0 };
    StillLesson {
        still: still.to_owned(),
        source,
        run: None,
        upto: 0,
        character: Character { beliefs, history: vec![learned; runs] },
        balance: AlcoholBalance {
            charged_l: 2.5,
            collected_l: 2.0,
            left_l: 0.25,
            missing_l: 0.25,
            missing_sd_l: 0.125,
            causes: vec![cause],
            account: Some(Account {
                verdict: Verdict::Missing,
                not_gauged_l: 0.0,
                residue_gauged: false,
                vapour_lost_l: 0.1,
                parts: Vec::new(),
                tells_most: None,
            }),
        },
    }
}

fn ok(server: &Running, path: &str) -> Value {
    let answer = server.get(path);
    assert_eq!(answer.status, 200, "{path}: {answer:?}");
    answer.json()
}

fn still_name(server: &Running) -> String {
    plan(server)["still"]["name"].as_str().expect("a name").to_owned()
}

/// A name as one part of a path.
fn escaped(name: &str) -> String {
    name.bytes().fold(String::new(), |path, byte| format!("{path}%{byte:02X}"))
}

#[test]
fn what_is_known_of_stills_is_shown_and_set_aside() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    store.learn(&lesson("Hut, 12 L: \"no. 2\"", LessonSource::Folder, 1), NOON_MS).unwrap();
    store.learn(&lesson("Hut, 12 L: \"no. 2\"", LessonSource::Folder, 2), NOON_MS).unwrap();
    store.learn(&lesson("Barn/still é", LessonSource::Folder, 1), NOON_MS).unwrap();
    drop(store);
    let server = start(folder.path());
    let stills = ok(&server, "/api/stills");
    let names: Vec<_> = stills.as_array().unwrap().iter().map(|one| &one["name"]).collect();
    assert_eq!(names, ["Hut, 12 L: \"no. 2\"", "Barn/still é"]);
    assert_eq!(stills[0]["runs"], 2);
    assert_eq!(stills[0]["lessons"][0]["source"], "folder");
    assert_eq!(stills[0]["lessons"][0]["balance"]["causes"][0]["code"], "vapour_lost");
    let path = format!("/api/stills/{}", escaped("Barn/still é"));
    let barn = ok(&server, &path);
    assert_eq!(barn, stills[1]);
    assert_eq!(
        barn["character"]["beliefs"][0],
        json!({"of": "heat_loss", "mean": 0.25, "sd": 0.125})
    );
    assert_eq!(barn["character"]["history"][0]["title"], "Second spirit run");
    assert_eq!(ok(&server, "/api/stills?example=true"), json!([]), "kept apart");
    assert_eq!(server.get(&format!("{path}?rehearsed=true")).json()["code"], "no_such_still");
    server.pass_ms(5000);
    let reset = server.post(&format!("{path}/reset"), &json!({"reason": " new packing "}));
    assert_eq!(reset.status, 200, "{reset:?}");
    let after = reset.json();
    assert_eq!((&after["runs"], &after["character"]["beliefs"]), (&json!(0), &json!([])));
    let told = json!([{"stored_ms": NOON_MS + 5000, "reason": "new packing", "lessons": 1}]);
    assert_eq!(after["resets"], told);
    assert_eq!(ok(&server, &path), after);
    assert_eq!(ok(&server, "/api/stills")[0]["runs"], 2, "the other is as it was");
    server.stop();
    let again = start(folder.path());
    assert_eq!(ok(&again, &path), after);
    Store::open_read_only(folder.path()).unwrap().verify().unwrap();
}

/// A calibration of a still that its runs stated so.
fn calibration(stated: &still::plan::Still) -> StillCalibration {
    let spread = |p50: f64| Spread { p10: 0.5 * p50, p50, p90: 2.0 * p50 };
    let mut still = stated.clone();
    still.column_loss_w_per_k = 4.5;
    let left_out =
        LeftOut { strength_rms_vol: Some(1.5), end_percent: -2.0, alcohol_percent: None };
    let run = |title: &str| CalibratedFrom {
        title: title.to_owned(),
        start: "2026-10-03T08:12:00+02:00".to_owned(),
        left_out: Some(left_out),
    };
    StillCalibration {
        still,
        runs: vec![run("one"), run("two")],
        values: vec![CalibratedValue {
            of: Parameter::ColumnLoss,
            value: spread(4.5),
            told: true,
            prior: Some(spread(0.5)),
        }],
        not_apart: vec![NotApart {
            one: Parameter::VapourLost,
            other: Parameter::ChargeStrength,
            correlation: 0.875,
        }],
        next: vec![FurtherRun {
            text: "at half the reflux".to_owned(),
            doubt_less: 0.25,
            most: Parameter::HoldUp,
        }],
        stated: Some(Box::new(stated.clone())),
    }
}

#[test]
fn a_calibration_is_shown_with_all_it_says_and_can_be_set_aside() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/hollowbank/perry/run.toml");
    let stated = store::folder::read_plan(plan.as_ref()).unwrap().still;
    store.calibrate(&calibration(&stated), NOON_MS).unwrap();
    drop(store);
    let server = start(folder.path());
    let path = format!("/api/stills/{}", escaped(&stated.name));
    let found = ok(&server, &path)["calibrated"].clone();
    assert_eq!((&found["stored_ms"], &found["runs"][1]["title"]), (&json!(NOON_MS), &json!("two")));
    let left_out = json!({"strength_rms_vol": 1.5, "end_percent": -2.0, "alcohol_percent": null});
    assert_eq!(found["runs"][0]["left_out"], left_out);
    assert_eq!(
        found["values"][0],
        json!({
            "of": "column_loss", "told": true,
            "value": {"p10": 2.25, "p50": 4.5, "p90": 9.0},
            "prior": {"p10": 0.25, "p50": 0.5, "p90": 1.0},
        })
    );
    assert_eq!(found["not_apart"][0]["other"], "charge_strength");
    assert_eq!(found["next"][0]["text"], "at half the reflux");
    assert_eq!(found["keys"]["column_loss_w_per_k"], 4.5);
    assert!(found["keys"].get("metal_kj_per_k").is_none(), "{found}");
    let own = |server: &Running| ok(server, "/api/house")["own"]["still"].clone();
    assert_eq!(own(&server)["column_loss_w_per_k"], 4.5);

    // Nothing was run here: there is nothing to fit.
    let fit = format!("{path}/fit");
    assert_eq!(ok(&server, &fit)["state"], "idle");
    let refused = server.post(&fit, &json!({}));
    assert_eq!((refused.status, &refused.json()["code"]), (409, &json!("too_few_runs")));
    let unknown = server.post("/api/stills/Nobody/fit", &json!({}));
    assert_eq!((unknown.status, &unknown.json()["code"]), (404, &json!("no_such_still")));
    let gone = server.send("DELETE", &fit, &json!({}));
    assert_eq!((gone.status, &gone.json()["state"]), (200, &json!("idle")));

    let aside = format!("{path}/set_aside");
    assert_eq!(server.post(&aside, &json!({"reason": " "})).status, 422);
    let after = server.post(&aside, &json!({"reason": "a wrong glass"}));
    assert_eq!((after.status, &after.json()["calibrated"]), (200, &Value::Null));
    assert_eq!(ok(&server, &path)["resets"][1]["reason"], "calibration set aside, a wrong glass");
    assert_eq!(own(&server)["column_loss_w_per_k"], json!(stated.column_loss_w_per_k));
    let again = server.post(&aside, &json!({"reason": "a wrong glass"}));
    assert_eq!((again.status, &again.json()["code"]), (409, &json!("not_calibrated")));
}

#[test]
fn wrong_names_and_runs_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    store.learn(&lesson("Barn", LessonSource::Folder, 1), NOON_MS).unwrap();
    drop(store);
    let server = start(folder.path());
    let going_on = real_run(&server);
    let long = "x".repeat(201);
    let reason = json!({"reason": "new packing"});
    let cases: Vec<(&str, String, Value, u16, &str)> = vec![
        ("GET", "/api/stills/Nobody".into(), json!({}), 404, "no_such_still"),
        ("GET", "/api/stills/Barn?example=true".into(), json!({}), 404, "no_such_still"),
        ("GET", "/api/stills/Barn?colour=red".into(), json!({}), 400, "query_not_understood"),
        ("GET", "/api/stills?example=perhaps".into(), json!({}), 400, "query_not_understood"),
        ("GET", format!("/api/stills/{long}"), json!({}), 422, "value_out_of_range"),
        ("GET", "/api/stills/%00".into(), json!({}), 422, "value_out_of_range"),
        ("DELETE", "/api/stills/Barn".into(), json!({}), 405, "method_not_allowed"),
        ("POST", "/api/stills/Nobody/reset".into(), reason.clone(), 404, "no_such_still"),
        ("POST", format!("/api/stills/{long}/reset"), reason, 422, "value_out_of_range"),
        ("POST", "/api/stills/Barn/reset".into(), json!({}), 400, "body_not_understood"),
        (
            "POST",
            "/api/stills/Barn/reset".into(),
            json!({"reason": " "}),
            422,
            "value_out_of_range",
        ),
        (
            "POST",
            "/api/stills/Barn/reset".into(),
            json!({"reason": "x".repeat(5000)}),
            422,
            "value_out_of_range",
        ),
        (
            "POST",
            "/api/stills/Barn/reset".into(),
            json!({"reason": "x", "force": true}),
            400,
            "body_not_understood",
        ),
        ("GET", "/api/runs/none/balance".into(), json!({}), 404, "no_such_run"),
        ("GET", "/api/runs/house/balance".into(), json!({}), 404, "no_such_run"),
        ("GET", format!("/api/runs/{going_on}/balance"), json!({}), 409, "run_not_over"),
        ("POST", "/api/runs/none/learn".into(), json!({}), 404, "no_such_run"),
        ("POST", "/api/runs/house/learn".into(), json!({}), 404, "no_such_run"),
        ("POST", format!("/api/runs/{going_on}/learn"), json!({}), 409, "run_not_over"),
    ];
    for (method, path, body, status, code) in cases {
        let answer = server.send(method, &path, &body);
        let said = answer.json();
        assert_eq!((answer.status, said["code"].as_str()), (status, Some(code)), "{path}: {said}");
        assert!(said["hint"].as_str().is_some_and(|hint| !hint.is_empty()), "{said}");
    }
    assert_eq!(ok(&server, "/api/stills/Barn")["runs"], 1, "nothing was set aside");
}

#[test]
fn a_run_keeps_the_belief_it_was_opened_with() {
    let folder = tempfile::tempdir().unwrap();
    let name = still_name(&start(folder.path()));
    let store = Store::open(folder.path()).unwrap();
    store.learn(&lesson(&name, LessonSource::Folder, 1), NOON_MS).unwrap();
    drop(store);
    let server = start(folder.path());
    let real = real_run(&server);
    let begin = json!({"plan": plan(&server), "mode": "rehearsal"});
    let rehearsal = server.post("/api/runs", &begin).json()["id"].as_str().unwrap().to_owned();
    let reset = format!("/api/stills/{}/reset", escaped(&name));
    assert_eq!(server.post(&reset, &json!({"reason": "new packing"})).status, 200);
    let later = real_run(&server);
    server.stop();
    let store = Store::open_read_only(folder.path()).unwrap();
    let believed = |id: &str| store.run(&store::RunId::new(id)).unwrap().character;
    assert_eq!(believed(&real), Some(lesson(&name, LessonSource::Folder, 1).character));
    assert_eq!(believed(&rehearsal), None, "a simulated still is as stated");
    assert_eq!(believed(&later), None);
}

/// Rehearses the shortest example to its end and gives its id.
fn rehearsed(server: &Running) -> String {
    let ask = json!({
        "plan": plan(server), "mode": "rehearsal", "speed": 10_000, "seed": 7, "attendant": true,
        "example": true,
    });
    let id = server.post("/api/runs", &ask).json()["id"].as_str().expect("an id").to_owned();
    let over = |server: &Running| !ok(server, &format!("/api/runs/{id}"))["ended"].is_null();
    let until = Instant::now() + Duration::from_mins(2);
    while !over(server) {
        assert!(Instant::now() < until, "the rehearsal takes too long");
        std::thread::sleep(Duration::from_millis(100));
    }
    id
}

/// The answer about a balance once it is no longer being worked out.
fn balance(server: &Running, id: &str) -> Answer {
    let until = Instant::now() + Duration::from_mins(2);
    loop {
        let answer = server.get(&format!("/api/runs/{id}/balance"));
        if answer.status != 202 {
            return answer;
        }
        assert_eq!(answer.json(), json!({"state": "computing"}));
        assert!(Instant::now() < until, "the fit takes too long");
        std::thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn a_rehearsal_that_is_over_has_its_balance_and_teaches_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = rehearsed(&server);
    let answer = balance(&server, &id);
    let learn = |id: &str| server.post(&format!("/api/runs/{id}/learn"), &json!({}));
    if answer.status == 422 {
        // What cannot be fitted is said so, by both, and nothing is made up.
        assert_eq!(answer.json()["code"], "no_balance", "{answer:?}");
        assert_eq!(learn(&id).json()["code"], "no_balance");
        assert_eq!(ok(&server, "/api/stills?example=true"), json!([]));
        return;
    }
    assert_eq!(answer.status, 200, "{answer:?}");
    let charge = &plan(&server)["charge"];
    let stated_l =
        charge["litres"].as_f64().unwrap() * charge["strength_vol"].as_f64().unwrap() / 100.0;
    let charged_l = answer.json()["charged_l"].as_f64().unwrap();
    assert!((charged_l / stated_l - 1.0).abs() < 0.02, "{charged_l} L of {stated_l} L");
    assert_eq!(ok(&server, "/api/stills?example=true"), json!([]), "not unasked");
    // The same rehearsal again has the same balance, to the last byte.
    let twin = rehearsed(&server);
    assert_eq!(balance(&server, &twin).body, answer.body);
    let taught = learn(&id);
    assert_eq!(taught.status, 200, "{taught:?}");
    let taught = taught.json();
    assert_eq!((&taught["rehearsed"], &taught["runs"]), (&json!(true), &json!(1)));
    assert_eq!(taught["lessons"][0]["run"], json!(id));
    assert_eq!(ok(&server, "/api/stills?example=true"), json!([taught]));
    assert_eq!(ok(&server, "/api/stills"), json!([]), "no real still learned from it");
}
