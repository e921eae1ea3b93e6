//! Over the network: the bench entered in the book once, upkeep that is due before heat, noses kept.

use serde_json::{Value, json};

use crate::common::{Running, plan, real_run, start};
use crate::runs::run;

fn act(done: &Value, stands: &Value, look: bool) -> Value {
    json!({ "look": look, "done": done, "stands": stands, "by": "Ada" })
}

fn with_tank(server: &Running) {
    let bought = json!({ "kind": "receive", "from": ["received:mill=12@64"],
        "to": ["tank:T1/H1=rest"], "by": "Ada" });
    assert_eq!(server.post("/api/book/entries", &bought).status, 200);
}

#[test]
fn the_bench_is_looked_at_and_then_entered_once() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    with_tank(&server);
    let spirit = json!({ "litres": 12, "vol": 64 });
    let treated = server.post("/api/bench/carbon", &spirit).json();
    let (done, stands) =
        (json!({ "carbon": spirit }), json!({ "out_of": "tank:T1/H1", "into": "tank:T2/C1" }));
    let post = |ask: &Value| server.post("/api/book/acts", ask);
    let look = post(&act(&done, &stands, true)).json();
    assert_eq!((&look["entered"], &look["known"]), (&json!(false), &json!(false)));
    assert_eq!(look["entries"][0]["to"][1]["place"], "loss:carbon");
    let lost = look["entries"][0]["to"][1]["pure_alcohol_l"].as_f64().unwrap();
    assert!((lost - treated["lost_l"].as_f64().unwrap()).abs() < 1e-9, "{treated}");
    assert_eq!(server.get("/api/book/entries").json().as_array().map(Vec::len), Some(1));
    let entered = post(&act(&done, &stands, false)).json();
    let again = post(&act(&done, &stands, false)).json();
    assert_eq!((&entered["entered"], &again["known"]), (&json!(true), &json!(true)));
    assert_eq!(entered["entries"], again["entries"]);
    // Taken back, it may be entered again.
    let void = json!({ "kind": "void", "corrects": entered["entries"][0]["serial"],
        "note": "the wrong tank", "by": "Ada" });
    assert_eq!(server.post("/api/book/entries", &void).status, 200);
    assert_eq!(post(&act(&done, &stands, false)).json()["entered"], true);
    let balance = server.get("/api/book/balance").json();
    assert_eq!(
        (&balance["off_l"], &balance["gone"][0]["place"]),
        (&json!(0.0), &json!("loss:carbon"))
    );
    let cask = json!({ "litres": 4, "vol": 64, "holds": 5, "years": 3, "climate": "cool", "humidity": 70 });
    assert_eq!(
        server.post("/api/bench/cask", &cask).json()["years"].as_array().map(Vec::len),
        Some(3)
    );
    let fruit =
        json!({ "litres": 5, "vol": 50, "solids": 1, "water": 85, "held": 0.5, "extract": 0 });
    assert!(server.post("/api/bench/macerate", &fruit).json()["lost_l"].as_f64().is_some());
    let here = json!({ "out_of": "tank:T2/C1" });
    let bottles = json!({ "bottling": { "litres": 12, "reading": 64, "celsius": 20, "step_vol": 0.2,
        "label": 64, "size_ml": 500, "country": "eu" } });
    let run_less =
        json!({ "jars": { "run": "20261003-081200-4f2a", "jars": [1], "into": "tank:T1/H1" } });
    for (done, stands, field) in [
        (json!({}), &here, "done"),
        (json!({ "carbon": spirit, "macerate": fruit }), &here, "done"),
        (json!({ "carbon": spirit }), &Value::Null, "stands"),
        (json!({ "carbon": spirit }), &json!({ "out_of": "tank:T9/H1" }), "out_of"),
        (json!({ "carbon": spirit }), &json!({ "out_of": "T1" }), "lot"),
        (bottles, &here, "counted"),
        (run_less, &here, ""),
    ] {
        let refused = post(&act(&done, stands, false));
        let said = refused.json();
        assert!((400..500).contains(&refused.status), "{said}");
        assert!(field.is_empty() || said["field"] == field, "{field}: {said}");
    }
    server.stop();
}

#[test]
fn upkeep_is_kept_and_what_is_overdue_stands_before_heat() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let known = run(&server, &id);
    let still = known["plan"]["still"]["name"].as_str().unwrap().replace(' ', "%20");
    let path = format!("/api/stills/{still}/upkeep");
    let relief = json!({ "name": "relief lifts", "kind": "maintenance", "every_runs": 1 });
    let all = server.send("PUT", &path, &relief);
    assert_eq!((all.status, &all.json()[0]["overdue"]), (200, &json!(false)));
    let bad = json!({ "name": "relief lifts", "good": false, "found": "it sticks", "by": "Wren" });
    let all = server.post(&path, &bad).json();
    assert_eq!((&all[0]["overdue"], &all[0]["done"][0]["by"]), (&json!(true), &json!("Wren")));
    for (method, body, field) in [
        ("PUT", json!({ "name": "x", "kind": "cleaning" }), "every_days"),
        ("PUT", json!({ "name": " ", "kind": "cleaning", "every_days": 3 }), "name"),
        ("PUT", json!({ "name": "x", "kind": "cleaning", "every_days": 9999 }), "every_days"),
        ("POST", json!({ "name": "no such", "good": true }), "name"),
        ("POST", json!({ "name": "relief lifts", "good": true, "at": "noon" }), "at"),
        (
            "POST",
            json!({ "name": "relief lifts", "good": true, "at": "2090-01-01T00:00:00Z" }),
            "at",
        ),
    ] {
        let refused = server.send(method, &path, &body);
        assert_eq!((refused.status, &refused.json()["field"]), (422, &json!(field)), "{body}");
    }
    // A plan that is opened at the still shows it, until it is put right.
    let opened = json!({ "plan": plan(&server), "mode": "real" });
    let opened = server.post("/api/runs", &opened);
    let fresh = opened.json()["id"].as_str().map(str::to_owned);
    let items = |id: &str| run(&server, id)["before_heat"].as_array().unwrap().clone();
    if let Some(fresh) = fresh {
        let stands = |id: &str| {
            items(id).iter().any(|item| item["words"].to_string().contains("relief lifts"))
        };
        assert!(stands(&fresh), "{:?}", items(&fresh).last());
        let good = json!({ "name": "relief lifts", "good": true });
        assert_eq!(server.post(&path, &good).json()[0]["overdue"], false);
        assert!(!stands(&fresh));
    } else {
        panic!("a plan is opened: {}", opened.json());
    }
    assert_eq!(
        server.send("DELETE", &format!("{path}?name=relief%20lifts"), &Value::Null).json(),
        json!([])
    );
    server.stop();
}

#[test]
fn what_noses_say_is_kept_with_the_order_of_the_round() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let jar = json!({ "jar": 1, "start_s": 0, "end_s": 3, "volume_ml": 300, "temperature_c": 20, "apparent_vol": 90, "sure": true });
    server.pass_ms(5000);
    let recorded = server.post(&format!("/api/runs/{id}/jars"), &jar);
    assert_eq!(recorded.status, 200, "{}", recorded.json());
    let path = format!("/api/runs/{id}/noses");
    let round =
        json!({ "jars": [{ "jar": 1, "glass": "A", "words": "pear" }], "seed": 7, "by": "Wren" });
    assert_eq!(server.post(&path, &round).status, 200);
    let words = json!({ "jars": [{ "jar": 1, "words": "pear, a little sharp" }] });
    let all = server.post(&path, &words).json();
    assert_eq!((&all[0]["jars"][0]["glass"], &all[0]["seed"]), (&json!("A"), &json!(7)));
    let cuts = server.get(&format!("/api/runs/{id}/cuts?jars=1")).json();
    assert_eq!(cuts["jars"][0]["note"], "pear, a little sharp");
    let strange = json!({ "jars": [{ "jar": 44, "words": "oak" }] });
    assert_eq!(server.post(&path, &strange).json()["field"], "jar");
    assert_eq!(server.post(&path, &json!({ "jars": [] })).json()["field"], "jars");
    server.stop();
}
