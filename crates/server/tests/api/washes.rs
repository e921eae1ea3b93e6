//! Washes over the network: opened, read, put right, forecast, charged into the account, out and in.

use serde_json::{Value, json};

use crate::common::{NOON_MS, Running, start};

const HOUR_MS: i64 = 3_600_000;

fn recipe() -> Value {
    json!({
        "format": 1, "title": "Plum", "start": "", "kind": "sugar", "litres": 25.0,
        "fermentable": [{ "name": "sucrose", "kg": 4.5 }],
        "yeast": { "kind": "wine", "grams": 25.0 },
        "nutrient": [{ "at_h": 0.0, "name": "DAP", "grams": 25.0, "yan_mg_per_g": 212.0 }],
        "buffer": { "name": "chalk" },
        "room": { "ambient_c": 22.0, "insulated": false, "volume_m3": 30.0 },
        "reading": { "hydrometer_true_at_c": 20.0, "hydrometer_step": 0.001, "sample_discarded_ml": 0.0 },
    })
}

pub(crate) fn opened(server: &Running) -> String {
    let answer =
        server.post("/api/washes", &json!({ "recipe": recipe(), "by": "Ada", "key": "o" }));
    assert_eq!(answer.status, 200, "{}", answer.json());
    answer.json()["id"].as_str().expect("an id").to_owned()
}

fn read(server: &Running, id: &str, hours: i64, gravity: f64) -> Value {
    let row =
        json!({ "at_ms": NOON_MS + hours * HOUR_MS, "gravity": gravity, "temperature_c": 22.0 });
    let answer = server.post(&format!("/api/washes/{id}/readings"), &row);
    assert_eq!(answer.status, 200, "{}", answer.json());
    answer.json()
}

#[test]
fn a_wash_goes_from_the_yeast_into_the_account() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    let id = opened(&server);
    assert_eq!(opened(&server), id, "the same request again");
    let way = [(0, 1.069), (24, 1.060), (72, 1.034), (120, 1.006), (200, 0.9865), (270, 0.9865)];
    let mut before = 0;
    for (hours, gravity) in way {
        server.pass_ms((hours - before) * HOUR_MS);
        before = hours;
        read(&server, &id, hours, gravity);
    }
    let said = json!({ "no_sugar": true, "gas_stopped": true, "gravity": 1.2, "by": "Bo" });
    let wrong = server.post(&format!("/api/washes/{id}/readings"), &said).json();
    let last = wrong["last_entry"].as_i64().unwrap();
    let right = json!({ "no_sugar": true, "gas_stopped": true, "gravity": 0.9865, "temperature_c": 22.0, "corrects": last });
    let state = server.post(&format!("/api/washes/{id}/readings"), &right).json();
    let lines = state["lines"].as_array().unwrap();
    assert_eq!((&lines[7]["struck"], &lines[7]["by"]), (&json!("corrected"), &json!("Bo")));
    assert_eq!(lines[8]["note"], "no taste of sugar; gas nearly stopped");
    let gravity = lines[8]["gravity_true"].as_f64().unwrap();
    assert!((0.9866..0.9875).contains(&gravity), "at 20 °C it reads higher: {gravity}");
    let forecast = server.get(&format!("/api/washes/{id}/forecast")).json();
    assert_eq!(forecast["state"], "finished", "{}", forecast["chance"]);
    let holds = forecast["conditions"].as_array().unwrap().iter().all(|one| one["holds"] == true);
    assert!(holds, "{}", forecast["conditions"]);
    assert!(forecast["cautions"][0]["text"].as_str().unwrap().contains("this room of 30 m³"));
    let again = server.get(&format!("/api/washes/{id}/forecast"));
    assert_eq!(again.json(), forecast, "kept until a row comes");
    let nobody = server.post(&format!("/api/washes/{id}/charge"), &json!({}));
    assert_eq!((nobody.status, &nobody.json()["field"]), (422, &json!("by")));
    let ask = json!({ "by": "Ada", "lot": "PLUM-1", "key": "c" });
    for _ in 0..2 {
        let ended = server.post(&format!("/api/washes/{id}/charge"), &ask).json();
        assert_eq!(ended["ended"]["charge"]["lot"], "PLUM-1", "{ended}");
    }
    let lots = server.get("/api/book/lots").json();
    assert_eq!((&lots[0]["place"], &lots[0]["lot"]), (&json!("wash:PLUM-1"), &json!("PLUM-1")));
    let litres = lots[0]["pure_alcohol_l"].as_f64().unwrap();
    let middle = forecast["pure_alcohol_l"]["p50"].as_f64().unwrap();
    assert!((litres - middle).abs() < 0.005, "{litres} {middle}");
    assert_eq!(server.get("/api/book/entries").json().as_array().unwrap().len(), 1, "once");
    let late = server.post(&format!("/api/washes/{id}/readings"), &json!({ "gravity": 0.99 }));
    assert_eq!((late.status, &late.json()["code"]), (409, &json!("wash_over")));
    assert_eq!(server.get("/api/washes").json()[0]["status"], "charged");
    assert_eq!(server.get("/api/runs").json(), json!([]), "a wash is no run");
    assert_eq!(server.get(&format!("/api/runs/{id}")).status, 404);
}

#[test]
fn a_glass_may_read_degrees_plato_and_a_recipe_be_typed_in_gallons() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    let entered = json!([{ "field": "litres", "value": 6.60430, "unit": "US gal" },
        { "field": "fermentable[0].kg", "value": 9.92080, "unit": "lb" }]);
    let ask = json!({ "recipe": recipe(), "entered": entered, "by": "Ada", "key": "o" });
    let open = || server.post("/api/washes", &ask).json();
    let wash = open();
    assert_eq!(open(), wash, "the same request again");
    assert_eq!(wash["lines"][0]["typed"], "6.6043 US gal, 9.9208 lb");
    let readings = format!("/api/washes/{}/readings", wash["id"].as_str().unwrap());
    let read = |gravity: f64| {
        server.post(
            &readings,
            &json!({ "gravity": gravity, "temperature_c": 22.0,
            "entered": [{ "field": "gravity", "value": 12.5, "unit": "Plato" }] }),
        )
    };
    let refused = read(1.052);
    assert_eq!((refused.status, &refused.json()["field"]), (422, &json!("entered[0].value")));
    let lines = read(1.0504).json()["lines"].clone();
    let line = &lines.as_array().unwrap()[1];
    assert_eq!((&line["typed"], &line["gravity"]), (&json!("12.5 °Plato"), &json!(1.0504)));
    let float = format!("/api/washes/{}/float", wash["id"].as_str().unwrap());
    let sent = server.post(&float, &json!({ "rows": [{ "plato": 12.5 }] })).json();
    let gravity = sent["float"][0]["gravity"].as_f64().unwrap();
    assert!((gravity - 1.0504).abs() < 1e-4, "{gravity}");
    for wrong in [json!({ "plato": 12.5, "gravity": 1.05 }), json!({ "plato": 80.0 })] {
        let refused = server.post(&float, &json!({ "rows": [wrong] }));
        assert_eq!((refused.status, &refused.json()["field"]), (422, &json!("plato")));
    }
}

#[test]
fn a_folder_that_was_sent_is_taken_whole_or_told_where_it_is_wrong() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    let toml = "format = 1\ntitle = \"Pear\"\nstart = \"2026-09-14T18:00:00+02:00\"\nkind = \"fruit\"\nlitres = 25.0\n\
        [[fermentable]]\nname = \"fruit juice\"\nlitres = 25.0\nbrix = 14.5\n\
        [yeast]\nkind = \"wine\"\ngrams = 20\n[room]\nambient_c = 19.0\ninsulated = false\n\
        [reading]\nhydrometer_true_at_c = 20.0\nhydrometer_step = 0.001\n";
    let sent = |table: &str| json!({ "files": { "wash.toml": toml, "readings.csv": table } });
    let wrong = server.post("/api/washes/folder", &sent("time_h,gravity\n0,1.06\n12,1060\n"));
    let said = wrong.json()["bound"].as_str().unwrap_or_default().to_owned();
    assert!(
        wrong.status == 422 && said.contains("readings.csv:3: gravity = 1060"),
        "{}",
        wrong.json()
    );
    assert_eq!(server.get("/api/washes").json(), json!([]), "nothing of it");
    let taken =
        server.post("/api/washes/folder", &sent("time_h,gravity\n0,1.06\n12,1.055\n")).json();
    assert_eq!(taken["lines"].as_array().unwrap().len(), 3, "{taken}");
    let twice = server.post("/api/washes/folder", &sent("time_h,gravity\n0,1.06\n12,1.055\n"));
    assert_eq!((twice.status, &twice.json()["code"]), (409, &json!("already_there")));
    let id = taken["id"].as_str().unwrap();
    let sensor = json!({ "rows": [{ "gravity": 1.054, "temperature_c": 20.5 }], "key": "s" });
    for _ in 0..2 {
        let told = server.post(&format!("/api/washes/{id}/float"), &sensor).json();
        assert_eq!(told["float"].as_array().unwrap().len(), 1, "{told}");
    }
    let zip = server.get(&format!("/api/washes/{id}/folder.zip"));
    assert!(zip.status == 200 && zip.body.starts_with(b"PK"));
}

/// Each cannot be; the answer names field and bound.
#[test]
fn bad_input_is_refused_by_name() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    let id = opened(&server);
    let (readings, acts) = (format!("/api/washes/{id}/readings"), format!("/api/washes/{id}/acts"));
    let float = format!("/api/washes/{id}/float");
    let strike = format!("/api/washes/{id}/strike");
    let mut heavy = recipe();
    heavy["fermentable"][0]["kg"] = json!(40.0);
    let mut no_juice = recipe();
    no_juice["fermentable"][0] = json!({ "name": "fruit juice", "litres": 20.0 });
    let mut small = recipe();
    small["room"]["volume_m3"] = json!(0.0);
    let table = [
        (&readings, json!({}), "gravity", "must not be empty"),
        (&readings, json!({ "gravity": 50 }), "gravity", "from 0.95 to 1.3"),
        (&readings, json!({ "ph": 40 }), "ph", "from 0 to 14"),
        (&readings, json!({ "gravity": 1.05, "at_ms": NOON_MS + HOUR_MS }), "at", "ahead of now"),
        (&readings, json!({ "gravity": 1.05, "at_ms": 0 }), "at", "a day before the yeast"),
        (&readings, json!({ "gravity": 1.05, "corrects": 77 }), "entry", "that stands"),
        (&float, json!({ "rows": [] }), "rows", "1 to 1000"),
        (
            &float,
            json!({ "rows": [{ "gravity": 1.05, "at_ms": 0 }] }),
            "at",
            "a day before the yeast",
        ),
        (&float, json!({ "rows": [{ "gravity": 20 }] }), "gravity", "from 0 to 10"),
        (&acts, json!({ "action": "sing" }), "action", "expected one of pitch"),
        (&acts, json!({ "action": "yeast" }), "value", "must be given in g"),
        (&acts, json!({ "action": "heater", "value": 99 }), "value", "from 0 to 50"),
        (&strike, json!({ "entry": 1, "reason": "no" }), "entry", "that stands"),
        (&strike, json!({ "entry": 1, "reason": " " }), "reason", "must say why"),
        (
            &"/api/washes".to_owned(),
            json!({ "recipe": heavy }),
            "recipe.litres",
            "original gravity",
        ),
        (
            &"/api/washes".to_owned(),
            json!({ "recipe": no_juice }),
            "recipe.fermentable[1].brix",
            "must be given",
        ),
        (
            &"/api/bench/wash".to_owned(),
            json!({ "recipe": small }),
            "recipe.room.volume_m3",
            "from 1",
        ),
    ];
    for (path, body, field, bound) in table {
        let answer = server.post(path, &body);
        let said = answer.json();
        assert_eq!((answer.status, &said["field"]), (422, &json!(field)), "{path} {body}: {said}");
        assert!(said["bound"].as_str().unwrap().contains(bound), "{body}: {said}");
        assert!(!said["hint"].as_str().unwrap().is_empty());
    }
    assert_eq!(server.get("/api/washes/wash-none").status, 404);
    assert_eq!(server.get("/api/washes/house/forecast").json()["code"], "no_such_wash");
    let planned = server.post("/api/bench/wash", &json!({ "recipe": recipe() }));
    assert_eq!((planned.status, &planned.json()["state"]), (200, &json!("working")));
    assert_eq!(
        server.get(&format!("/api/washes/{id}")).json()["last_entry"],
        1,
        "nothing was kept"
    );
}
