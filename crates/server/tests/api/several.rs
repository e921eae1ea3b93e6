//! Several stills, several people: each sees the same, and who is needed next.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::common::{Running, plan, start};
use crate::runs::run;

/// Asks until there is an answer.
pub(crate) fn until<T>(what: &str, mut ask: impl FnMut() -> Option<T>) -> T {
    let end = Instant::now() + Duration::from_mins(1);
    while Instant::now() < end {
        if let Some(answer) = ask() {
            return answer;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("{what}");
}

fn begin(server: &Running, still: &str) -> String {
    let mut plan = plan(server);
    plan["still"]["name"] = json!(still);
    let begun = server.post("/api/runs", &json!({"plan": plan, "mode": "real", "started": true}));
    assert_eq!(begun.status, 201, "{begun:?}");
    begun.json()["id"].as_str().expect("an id").to_owned()
}

#[test]
fn several_stills_run_each_with_its_readings_and_one_list_says_who_is_needed() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    assert_eq!(server.get("/api/attending").json()["next"], Value::Null);
    let [one, two] = ["Copper", "Steel"].map(|still| begin(&server, still));
    let planned = server.post("/api/runs", &json!({"plan": plan(&server), "mode": "real"}));
    assert_eq!(planned.status, 201);
    server.pass_ms(5000);
    for (still, head_c) in [("Copper", 20.0), ("Steel", 31.0)] {
        let rows = json!({"rows": [{"head_c": head_c}]});
        assert_eq!(server.post(&format!("/api/stills/{still}/readings"), &rows).status, 200);
    }
    server.pass_ms(2000);
    for (id, head_c) in [(&one, 20.0), (&two, 31.0)] {
        until("its own reading and no other", || {
            let known = run(&server, id)["knowledge"]["channels"].clone();
            let head = known.as_array()?.iter().find(|channel| channel["name"] == "head_c")?;
            (head["value"] == json!(head_c)).then_some(())
        });
    }
    let attending = server.get("/api/attending").json();
    let runs = attending["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 2, "what is not heated needs nobody: {attending}");
    assert!(runs.iter().all(|run| run["in_s"].is_number() && run["now"]["time_s"].is_number()));
    // An hour without a reading or a person at one of them, while somebody is at the other.
    server.pass_ms(3_600_000);
    let here = json!({"action": "here"});
    assert_eq!(server.post(&format!("/api/runs/{two}/actions"), &here).status, 200);
    let attending = until("an alarm", || {
        let attending = server.get("/api/attending").json();
        (attending["runs"][0]["need"] == "alarm").then_some(attending)
    });
    assert_eq!(attending["next"], attending["runs"][0]["id"]);
    server.post(&format!("/api/runs/{one}/end"), &json!({}));
    let runs = server.get("/api/attending").json()["runs"].as_array().unwrap().clone();
    assert!(runs.len() == 1 && runs[0]["id"] == json!(two), "{runs:?}");
}

#[test]
fn two_people_see_the_same_and_acts_that_cross_are_both_kept() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = begin(&server, "Copper");
    server.pass_ms(5000);
    let [mut first, mut second] = [0, 1].map(|_| server.follow(&id, None));
    // Who has heard something is followed for: what is recorded before that is told to nobody.
    for feed in [&mut first, &mut second] {
        feed.next_of("knowledge");
    }
    let path = format!("/api/runs/{id}/actions");
    let entries: Vec<Value> = std::thread::scope(|scope| {
        let act = |watts: f64| {
            let ask = json!({"action": "heater", "value": watts, "unit": "W", "sure": true});
            let (server, path) = (&server, &path);
            scope.spawn(move || server.post(path, &ask).json()["entry"].clone())
        };
        [act(1000.0), act(1200.0)].map(|one| one.join().unwrap()).to_vec()
    });
    for feed in [&mut first, &mut second] {
        for _ in 0..2 {
            assert!(entries.contains(&feed.next_of("recorded").data["entry"]));
        }
    }
    let acts = run(&server, &id)["actions"].as_array().unwrap().clone();
    assert!(entries.iter().all(|entry| acts.iter().any(|act| act["entry"] == *entry)), "{acts:?}");
    // Both hear the same, the later one last; what came before the second act was told is read over.
    server.pass_ms(1000);
    let last = |feed: &mut crate::common::Feed| feed.next_of("knowledge").data["recorded"].clone();
    let newest = entries.iter().max_by_key(|entry| entry.as_u64()).cloned();
    for feed in [&mut first, &mut second] {
        assert_eq!(
            Some(until("the newest", || Some(last(feed)).filter(|e| Some(e) == newest.as_ref()))),
            newest
        );
    }
}

#[test]
fn a_feed_that_was_dropped_goes_on_without_a_gap_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = begin(&server, "Copper");
    let mut feed = server.follow(&id, None);
    feed.next_of("knowledge");
    // Ten minutes in which nothing is read: that is said.
    server.pass_ms(600_000);
    let known = feed.next_of("said").id.expect("an entry");
    drop(feed);
    // An hour in which much is said.
    server.pass_ms(3_600_000);
    let events = |server: &Running| run(server, &id)["events"].as_array().unwrap().len();
    let here = json!({"action": "here"});
    assert_eq!(server.post(&format!("/api/runs/{id}/actions"), &here).status, 200);
    let all = until("more was said", || Some(events(&server)).filter(|count| *count > 1));
    let mut feed = server.follow(&id, Some(known));
    assert_eq!(feed.receive().event, "knowledge");
    let resumed = feed.receive();
    assert_eq!((resumed.event.as_str(), &resumed.data["whole"]), ("resumed", &json!(true)));
    assert_eq!(resumed.data["after"], known);
    let count = resumed.data["events"].as_u64().unwrap();
    assert!(count >= 1 && usize::try_from(count).unwrap() >= all - 1, "{resumed:?} of {all}");
    let mut before = known;
    for _ in 0..count {
        let said = feed.next_of("said").id.expect("an entry");
        assert!(said > before, "in order, none twice");
        before = said;
    }
    // Who knows more than there is followed another record.
    let mut feed = server.follow(&id, Some(9_999_999));
    assert_eq!(feed.next_of("resumed").data["whole"], json!(false));
    feed.next_of("reload");
}
