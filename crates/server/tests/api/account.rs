//! The account of pure alcohol over the network: entered, refused, followed, written out.

use serde_json::{Value, json};

use crate::common::start;

fn enter(kind: &str, from: &[&str], to: &[&str]) -> Value {
    json!({ "kind": kind, "from": from, "to": to, "by": "Ada" })
}

/// How an entry that is only looked at says its numbers were typed; what is not what was typed is
/// refused.
fn look_typed(server: &crate::common::Running) -> Value {
    let mut look =
        enter("receive", &["received=1@80 US proof"], &["tank:T/N=gauged", "loss:transfer=rest"]);
    look["only_look"] = true.into();
    look["read"] = json!({ "quantity": 1.0, "unit": "l", "reading": 39.0, "celsius": 20.0 });
    for (value, status) in [(66.0, 422), (68.0, 200)] {
        look["entered"] = json!([{ "field": "read.celsius", "value": value, "unit": "F" }]);
        let answer = server.post("/api/book/entries", &look);
        assert_eq!(answer.status, status, "{}", answer.json());
    }
    server.post("/api/book/entries", &look).json()["typed"].clone()
}

#[test]
fn from_sugar_to_bottle_each_litre_is_accounted_for() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    for act in [
        enter("ferment", &["fermented=25@12"], &["wash:W1/W1=rest"]),
        enter("charge", &["wash:W1/W1=all"], &["pot:P/C1=rest"]),
        enter("distil", &["pot:P/C1=all"], &["jar:1/J1=0.3", "jar:2/J2=2.1", "loss:residue=rest"]),
        enter("blend", &["jar:2/J2=all"], &["tank:T/H=2.09", "loss:transfer=rest"]),
        enter("bottle", &["tank:T/H=all"], &["bottles:s/B=7x700@42", "loss:bottling=rest"]),
    ] {
        let answer = server.post("/api/book/entries", &act);
        assert_eq!(answer.status, 200, "{}", answer.json());
    }
    let mut again = enter("sample", &["jar:1/J1=0.01"], &["sample:nose=rest"]);
    again["key"] = "k".into();
    for _ in 0..2 {
        assert_eq!(server.post("/api/book/entries", &again).json()["serial"], 6);
    }
    let balance = server.get("/api/book/balance?profile=us").json();
    assert_eq!((&balance["off_l"], &balance["bottles"]), (&json!(0.0), &json!(7)));
    assert_eq!(balance["came"][0]["pure_alcohol_l"], 3.0);
    assert_eq!(balance["came"][0]["reported"], "1.6", "3 L are 1.58 proof gallons, to a tenth");
    let lot = server.get("/api/book/lots/J2").json();
    let bottles = lot["went_to"].as_array().unwrap().iter().find(|one| one["lot"] == "B").unwrap();
    assert!((bottles["pure_alcohol_l"].as_f64().unwrap() - 2.058).abs() < 1e-9, "{lot}");
    assert_eq!(lot["made_of"].as_array().unwrap().last().unwrap()["place"], "fermented");
    let typed = look_typed(&server);
    assert_eq!(typed[0], json!({ "field": "read.celsius", "value": 68.0, "unit": "F" }));
    assert_eq!(
        typed[1],
        json!({ "field": "from[0].strength_vol", "value": 80.0, "unit": "US proof" })
    );
    let counted = json!({ "place": "jar:1", "lot": "J1", "found": 0.25, "lost_to": "loss:evaporation", "by": "Bo" });
    assert_eq!(server.post("/api/book/stock-take", &counted).status, 200);
    assert_eq!(server.get("/api/book/lots").json().as_array().unwrap().len(), 2);
    for (page, serials) in [("before=7&limit=2", [5, 6]), ("after=4&limit=2", [5, 6])] {
        let entries = server.get(&format!("/api/book/entries?{page}")).json();
        let told: Vec<_> = entries.as_array().unwrap().iter().map(|one| &one["serial"]).collect();
        assert_eq!(told, serials, "{page}");
    }
    let stage = |name: &str| {
        balance["river"].as_array().unwrap().iter().find(|one| one["place"] == name).unwrap()
    };
    assert_eq!(stage("pot")["away"][0]["place"], "loss:residue");
    assert_eq!(stage("bottles")["came"][0]["place"], "tank");
    let mut look = enter("remove", &["jar:1/J1=0.01pg"], &["removed:friend=rest"]);
    look["only_look"] = true.into();
    let looked = server.post("/api/book/entries", &look).json();
    assert_eq!((&looked["serial"], &looked["by"]), (&json!(8), &json!("Ada")), "{looked}");
    let entries = server.get("/api/book/entries?after=5&limit=1").json();
    assert_eq!((entries.as_array().unwrap().len(), &entries[0]["kind"]), (1, &json!("sample")));
    assert!(server.get("/api/book/findings").json().is_array());
    let table = server.get("/api/book/table?profile=us").body;
    let report = store::book::verify(&table, None, &[], 0);
    assert_eq!((report.faults, report.entries), (Vec::new(), 7));
    let digest = server.get("/api/book/digest?profile=us").json();
    assert_eq!((&digest["digest"], &digest["entries"]), (&json!(report.head), &json!(7)));
    let page = server.get("/api/book/page?profile=us").body;
    assert_eq!(store::book::verify(&table, Some(&page), &[], 0).faults, Vec::new());
    let acts = server.get("/api/book/kinds").json();
    assert_eq!(acts["kinds"].as_array().unwrap().len(), 22);
}

#[test]
fn what_the_account_refuses_names_field_value_and_bound() {
    let dir = tempfile::tempdir().unwrap();
    let server = start(dir.path());
    let more = |mut ask: Value, key: &str, value: Value| {
        ask[key] = value;
        ask
    };
    let received = || enter("receive", &["received:mill=1"], &["tank:T/A=rest"]);
    assert_eq!(server.post("/api/book/entries", &received()).status, 200);
    let read = json!({ "quantity": 1.0, "unit": "pint", "reading": 40.0, "celsius": 20.0 });
    for (ask, field) in [
        (enter("dance", &[], &[]), "kind"),
        (enter("remove", &["tank:T/A=2"], &["removed:sold=rest"]), "from"),
        (enter("remove", &["tank:T/A=0.5"], &["removed:sold=0.4"]), "to"),
        (enter("remove", &["moon:T/A=0.5"], &["removed:sold=rest"]), "place"),
        (enter("remove", &["tank:T/A"], &["removed:sold=rest"]), "place"),
        (enter("lose", &["tank:T/A=0.5"], &["loss:spill=rest"]), "note"),
        (enter("blend", &["tank:T/A=0.5"], &["tank:U/B=gauged"]), "place"),
        (more(received(), "act", "yesterday".into()), "act"),
        (more(more(received(), "corrects", 9.into()), "note", "wrong".into()), "corrects"),
        (more(received(), "by", "=1+1".into()), "by"),
        (more(received(), "read", read), "read.unit"),
    ] {
        let answer = server.post("/api/book/entries", &ask);
        let said = answer.json();
        assert_eq!((answer.status, &said["field"]), (422, &json!(field)), "{ask}: {said}");
        assert!(said["bound"].is_string() && said["hint"].is_string(), "{said}");
    }
    let close = json!({ "upto": "2999-01", "by": "Ada" });
    assert_eq!(server.post("/api/book/close", &close).json()["field"], "upto");
    assert_eq!(server.get("/api/book/lots/a%20b").status, 422);
    assert_eq!(server.get("/api/book/balance?profile=moon").status, 400);
    assert_eq!(server.get("/api/book/entries").json().as_array().unwrap().len(), 1);
}
