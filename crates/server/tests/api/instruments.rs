//! Instruments of a still: stated, calibrated, put right in the run, raw in the record.

use serde_json::{Value, json};
use store::{Entry, RunId, Store};

use crate::common::{NOON_MS, Running, real_run, start, start_at};
use crate::runs::run;
use crate::several::until;

const HOUR_MS: i64 = 3_600_000;

fn still(server: &Running, run: &str) -> String {
    let known = crate::runs::run(server, run);
    known["plan"]["still"]["name"].as_str().expect("a name").to_owned()
}

fn head(server: &Running, id: &str) -> Value {
    let known = run(server, id)["knowledge"]["channels"].clone();
    let mut all = known.as_array().expect("channels").iter();
    all.find(|one| one["name"] == "head_c").expect("a head").clone()
}

fn path(still: &str) -> String {
    format!("/api/stills/{}/instruments", still.replace(' ', "%20"))
}

#[test]
fn a_thermometer_is_put_right_from_its_calibration_on_and_the_record_keeps_what_it_sent() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let still = still(&server, &id);
    let path = path(&still);
    let put = |body: &Value| server.send("PUT", &path, body);
    let put = put(&json!({"channel": "head_c", "name": "long probe", "step": 0.1}));
    assert_eq!(put.status, 200, "{}", put.json());
    let read = |celsius: f64| {
        server.pass_ms(5000);
        let rows = json!({"rows": [{"head_c": celsius}]});
        assert_eq!(server.post(&format!("/api/runs/{id}/readings"), &rows).status, 200);
        head(&server, &id)
    };
    assert_eq!(read(20.5)["value"], 20.5);
    let points = json!([
        {"against": "ice_point", "shown": 0.5},
        {"against": "steam_point", "shown": 99.5, "pressure_hpa": 1000.0},
    ]);
    let asked = json!({"channel": "head_c", "points": points, "by": "Wren",
        "entered": [{"field": "points[0].shown", "value": 32.9, "unit": "F"},
            {"field": "points[1].pressure_hpa", "value": 29.53, "unit": "inHg"}],
        "due": "2026-09-21T17:00:00+02:00"});
    let wrong = asked.to_string().replace("32.9", "0.5");
    assert_eq!(server.post(&path, &serde_json::from_str::<Value>(&wrong).unwrap()).status, 422);
    let made = server.post(&path, &asked);
    assert_eq!(made.status, 200, "{made:?}");
    let one = made.json()[0].clone();
    assert_eq!((&one["overdue"], &one["calibrations"][0]["by"]), (&json!(false), &json!("Wren")));
    assert_eq!(one["calibrations"][0]["typed"], "32.9 °F, 29.53 inHg");
    let truth = one["calibrations"][0]["points"][1]["truth"].as_f64().unwrap();
    assert!((truth - 99.63).abs() < 0.05, "{truth}");
    let shown = read(20.5)["value"].as_f64().unwrap();
    assert!((shown - 20.1).abs() < 0.05, "between the points: {shown}");
    let words = server.get(&format!("/api/runs/{id}/log")).json().to_string();
    assert!(words.contains("Read: head thermometer by long probe (put right)"), "{words}");
    server.stop();

    let store = Store::open(folder.path()).unwrap();
    let entries = store.entries(&RunId::new(&id), 0, 100).unwrap();
    let raw = entries.iter().filter_map(|logged| match &logged.entry {
        Entry::Readings(rows) => rows[0].1.get(sense::Probe::Head),
        _ => None,
    });
    assert_eq!(raw.collect::<Vec<_>>(), [20.5, 20.5], "what was sent stays");
    let state = store.run(&RunId::new(&id)).unwrap();
    let right: Vec<f64> =
        state.rows.readings.iter().filter_map(|row| row.1.get(sense::Probe::Head)).collect();
    assert!((right[0] - 20.5).abs() < 1e-9 && (right[1] - shown).abs() < 1e-9, "{right:?}");
    drop(store);

    // After its date: what rests on it is marked, here and in what is exported.
    let server = start_at(folder.path(), NOON_MS + HOUR_MS);
    // It comes into force with the second after that in which the run was opened.
    let shown = || {
        server.pass_ms(1000);
        head(&server, &id)["overdue"].clone()
    };
    until("it is marked", || (shown() == "long probe").then_some(()));
    assert_eq!(server.get(&path).json()[0]["overdue"], true);
    let archive = server.get(&format!("/api/runs/{id}/folder.zip"));
    let text = String::from_utf8_lossy(&archive.body).into_owned();
    assert!(text.contains("instruments.csv"), "{}", archive.status);
    let gone = server.send("DELETE", &format!("{path}?channel=head_c"), &json!({}));
    assert_eq!((gone.status, gone.json()), (200, json!([])));
    until("nothing is", || shown().is_null().then_some(()));
}

#[test]
fn what_no_calibration_can_be_is_refused_by_field_and_bound() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let path = path("Shed column");
    let state = |body: Value| server.send("PUT", &path, &body);
    assert_eq!(state(json!({"channel": "head_c", "name": "long probe"})).status, 200);
    assert_eq!(state(json!({"channel": "pressure_hpa", "name": "barometer"})).status, 200);
    for body in [
        json!({"channel": "nose", "name": "x"}),
        json!({"channel": "head_c", "name": ""}),
        json!({"channel": "head_c", "name": "x", "step": -1.0}),
    ] {
        let refused = state(body.clone());
        assert_eq!(refused.status, 422, "{body}: {refused:?}");
    }
    let point = |point: Value| json!({"channel": "head_c", "points": [point]});
    for body in [
        point(json!({"against": "steam_point", "shown": 99.0})),
        point(json!({"against": "ice_point", "shown": 0.1, "truth": 0.0})),
        point(json!({"against": "ice_point", "shown": 40.0})),
        point(json!({"against": "steam_point", "shown": 99.0, "pressure_hpa": 99.0})),
        json!({"channel": "head_c", "points": []}),
        json!({"channel": "pot_c", "points": [{"against": "ice_point", "shown": 0.1}]}),
        json!({"channel": "pressure_hpa", "points": [{"against": "ice_point", "shown": 1000.0}]}),
        json!({"channel": "head_c", "points": [{"against": "ice_point", "shown": 0.1}],
            "due": "2020-01-01T00:00:00Z"}),
        json!({"channel": "head_c", "points": [{"against": "ice_point", "shown": 0.1}],
            "at": "2030-01-01T00:00:00Z"}),
    ] {
        let refused = server.post(&path, &body);
        assert_eq!(refused.status, 422, "{body}: {refused:?}");
        let said = refused.json();
        assert!(said["field"].is_string() && said["bound"].is_string(), "{body}: {said}");
    }
    let listed = server.get(&path).json();
    assert!(listed.as_array().unwrap().iter().all(|one| one["calibrations"] == json!([])));
}
