//! Who did what a record tells: the name somebody was let in under, and what they say besides.

use serde_json::{Value, json};

use crate::common::Running;
use crate::door::{JSON, codes, guarded, pair};

/// Somebody who was let in.
struct Paired<'a> {
    server: &'a Running,
    head: String,
}

impl Paired<'_> {
    fn post(&self, path: &str, body: &Value) -> Value {
        let (head, body) = (format!("{}{JSON}", self.head), body.to_string());
        let answer = self.server.ask_with("POST", path, &head, body.as_bytes());
        assert!(answer.status < 300, "{path}: {answer:?}");
        answer.json()
    }

    fn get(&self, path: &str) -> Value {
        self.server.ask_with("GET", path, &self.head, b"").json()
    }
}

#[test]
fn what_somebody_who_was_let_in_records_is_by_them_whatever_they_say() {
    let folder = tempfile::tempdir().unwrap();
    let server = guarded(folder.path());
    let [code, _] = codes(&server);
    let paired = Paired { server: &server, head: pair(&server, &code) };
    let plan = paired.get("/api/house")["example"]["plans"][0].clone();
    let mut plan = plan.as_object().unwrap().clone();
    plan.remove("id");
    let gallons = plan["charge"]["litres"].as_f64().unwrap() / 3.785411784;
    let typed = json!([{"field": "charge.litres", "value": gallons, "unit": "US gal"}]);
    let run = paired.post("/api/runs", &json!({"plan": plan, "mode": "real", "entered": typed}));
    let run = format!("/api/runs/{}", run["id"].as_str().unwrap());
    paired.post(&format!("{run}/checks"), &json!({"ticked": ["Vent is open."]}));
    let acts = format!("{run}/actions");
    paired.post(&acts, &json!({"action": "heater", "value": 1800.0, "unit": "W", "sure": true}));
    server.pass_ms(60_000);
    let here = json!({"action": "here", "by": "Wren", "key": "one"});
    let first = paired.post(&acts, &here);
    assert_eq!(paired.post(&acts, &here), first, "sent again it changes nothing");
    let begin = json!({"step": 1, "after": 0, "key": "two"});
    let begun = paired.post(&format!("{run}/begin"), &begin);
    let again = paired.post(&format!("{run}/begin"), &begin);
    assert_eq!(begun["entries"], again["entries"]);
    let glass = json!({"action": "gauge", "value": 40.0, "unit": "vol_at_20.0", "sure": true, "key": "g",
        "entered": [{"field": "value", "value": 79.9, "unit": "US proof"},
                    {"field": "celsius", "value": 68.0, "unit": "F"}]});
    let gauged = paired.post(&acts, &glass);
    assert_eq!(paired.post(&acts, &glass), gauged, "sent again it changes nothing");
    let row = json!({"rows": [{"head_c": 78.5}], "entered": [{"field": "head_c", "value": 173.3, "unit": "F"}]});
    let rows = format!("{run}/readings");
    let read = paired.post(&rows, &row);
    let wrong = row.to_string().replace("173.3", "78.5");
    let head = format!("{}{JSON}", paired.head);
    let refused = server.ask_with("POST", &rows, &head, wrong.as_bytes());
    assert_eq!((refused.status, &refused.json()["field"]), (422, &json!("entered[0].value")));
    let note = paired.post(&format!("{run}/notes"), &json!({"text": "smells of pears"}));
    paired.post(&format!("{run}/undo"), &json!({"entry": note["entry"]}));
    let log = paired.get(&format!("{run}/log"));
    let lines = log["entries"].as_array().unwrap();
    assert!(read["entry"].as_u64() > gauged["entry"].as_u64());
    let words: Vec<&str> = lines.iter().map(|line| line["words"].as_str().unwrap()).collect();
    for line in [
        "Check list signed by a test: 1 points",
        "Heater changed to 1800 W, by a test",
        "Somebody is here, by Wren (a test)",
        "Step 2 of the plan begun, by a test",
        "Glass reads 40 % vol at 20 °C, by a test (entered as 79.9 US proof, 68 °F)",
        "Read by hand: head thermometer 173.3 °F",
        "smells of pears, by a test",
        "Taken back: smells of pears, by a test",
    ] {
        assert!(words.contains(&line), "{line}: {words:?}");
    }
    assert!(
        words.last().unwrap().ends_with(&format!("(entered as {gallons} US gal)")),
        "{words:?}"
    );
}
