//! What is told of runs: to a broker, with what hubs read, and as figures for who gathers them.

use std::collections::{BTreeMap, HashSet};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::broker::{Client, StandIn};
use crate::common::{plan, real_run};
use crate::feeding::Shed;

/// Longest wait for what comes within seconds.
const WAIT: Duration = Duration::from_mins(1);

/// Waits until the broker keeps such messages, and gives them.
fn until(
    broker: &StandIn,
    what: &str,
    holds: impl Fn(&BTreeMap<String, String>) -> bool,
) -> BTreeMap<String, String> {
    let until = Instant::now() + WAIT;
    while Instant::now() < until {
        let kept = broker.retained();
        if holds(&kept) {
            return kept;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("{what}: {:#?}", broker.retained());
}

/// What stands at a topic, as JSON.
fn json_at(kept: &BTreeMap<String, String>, topic: &str) -> Value {
    serde_json::from_str(&kept[topic]).unwrap_or_else(|error| panic!("{topic}: {error}"))
}

/// Every topic and field that is announced to a hub is there.
fn announced(kept: &BTreeMap<String, String>) {
    let announced: Vec<Value> = kept
        .iter()
        .filter(|(topic, _)| topic.starts_with("homeassistant/"))
        .map(|(topic, _)| json_at(kept, topic))
        .collect();
    assert_eq!(announced.len(), 11);
    for config in announced {
        for key in ["state_topic", "availability_topic", "json_attributes_topic"] {
            let Some(topic) = config[key].as_str() else { continue };
            assert!(kept.contains_key(topic), "{config}");
        }
        if let Some(field) = config["value_template"].as_str() {
            let field = field.trim_start_matches("{{ value_json.").trim_end_matches(" }}");
            let read = json_at(kept, config["state_topic"].as_str().expect("a topic"));
            assert!(read.as_object().is_some_and(|read| read.contains_key(field)), "{config}");
        }
    }
}

#[test]
fn a_run_is_told_as_long_as_it_goes_on_and_nothing_is_taken() {
    let shed = Shed::new();
    let broker = StandIn::start(None);
    let still = plan(shed.server())["still"]["name"].as_str().expect("a name").to_owned();
    let id = real_run(shed.server());
    let told = format!(
        "[broker]\nhost = \"127.0.0.1\"\nport = {}\n[broker.publish]\ntopic = \"shed\"\n\
         discovery = \"homeassistant\"\n",
        broker.port
    );
    shed.tell(&told);
    let has = |part: &'static str| {
        move |kept: &BTreeMap<String, String>| kept.keys().any(|topic| topic.ends_with(part))
    };
    let kept = until(&broker, "the run is told", has("/forecast"));
    assert_eq!(kept["shed/availability"], "online");
    let state = kept.keys().find(|topic| topic.ends_with("/state")).expect("a state").clone();
    let of_still = state.strip_suffix("/state").expect("it ends so");
    let knowledge = shed.server().get(&format!("/api/runs/{id}")).json()["knowledge"].clone();
    assert_eq!(kept[&state], knowledge["state"].as_str().expect("a word"));
    let run = json_at(&kept, &format!("{of_still}/run"));
    assert_eq!((&run["run"], &run["still"]), (&json!(id), &json!(still)));
    assert_eq!(run["headline"], knowledge["headline"]);
    let forecast = json_at(&kept, &format!("{of_still}/forecast"));
    assert_eq!(forecast["next_words"], knowledge["ends"][0]["words"]);
    let range = ["next_low_95", "next_low", "next_at", "next_high", "next_high_95"];
    let range = range.map(|key| forecast[key].as_str().expect("a moment").to_owned());
    assert!(range.is_sorted(), "{range:?}");
    assert_eq!(kept[&format!("{of_still}/alarm")], "OFF");
    announced(&kept);
    // What somebody else writes there does nothing.
    let entries = shed.server().get(&format!("/api/runs/{id}")).json()["last_entry"].clone();
    let mut somebody = Client::connect(broker.port, "somebody", None).expect("it is taken");
    for topic in [&state, &format!("{of_still}/heater/set"), &format!("{of_still}/alarms")] {
        somebody.publish(topic, "OFF", false).expect("sent");
    }
    broker.lose_connections();
    until(&broker, "its last will is told", |kept| kept["shed/availability"] == "offline");
    until(&broker, "it is back", |kept| kept["shed/availability"] == "online");
    let after = shed.server().get(&format!("/api/runs/{id}")).json();
    assert_eq!(
        (&after["last_entry"], &after["knowledge"]["state"]),
        (&entries, &knowledge["state"])
    );
    // An hour without a reading and nobody there.
    shed.server().pass_ms(3_600_000);
    let kept = until(&broker, "an alarm is told", |kept| {
        kept.get(&format!("{of_still}/alarm")).is_some_and(|alarm| alarm == "ON")
    });
    let alarms = json_at(&kept, &format!("{of_still}/alarms"));
    assert_eq!(alarms["alarms"][0]["text"], alarms["first"]);
    assert!(alarms["alarms"][0]["do"].as_str().is_some_and(|text| !text.is_empty()), "{alarms}");
    let ended = shed.server().post(&format!("/api/runs/{id}/end"), &json!({}));
    assert_eq!(ended.status, 200, "{ended:?}");
    let only = |kept: &BTreeMap<String, String>| kept.len() == 1;
    let kept = until(&broker, "nothing of it is left", only);
    assert_eq!(kept["shed/availability"], "online");
    let Shed { mut server, folder: _folder, .. } = shed;
    server.take().expect("it runs").stop();
    assert_eq!(broker.retained()["shed/availability"], "offline");
}

/// The samples of a text by name and labels, checked as the format has it.
fn samples(text: &str) -> BTreeMap<String, f64> {
    assert!(text.ends_with("# EOF\n") && !text.contains("\n\n"), "{text}");
    let (mut seen, mut family, mut unit) = (HashSet::new(), String::new(), String::new());
    let mut all = BTreeMap::new();
    for line in text.lines().filter(|line| *line != "# EOF") {
        if let Some(rest) = line.strip_prefix("# TYPE ") {
            rest.split(' ').next().expect("a name").clone_into(&mut family);
            unit.clear();
            assert!(seen.insert(family.clone()), "a family twice: {line}");
        } else if let Some(rest) = line.strip_prefix("# UNIT ") {
            rest.split(' ').nth(1).expect("a unit").clone_into(&mut unit);
            assert!(family.ends_with(&format!("_{unit}")), "{line}");
        } else if !line.starts_with("# HELP ") {
            let (name, value) = line.rsplit_once(' ').expect("a value");
            let bare = name.split('{').next().expect("a name");
            let suffix = bare.strip_prefix(family.as_str()).expect("of its family");
            assert!(["", "_total", "_info"].contains(&suffix), "{line}");
            let value: f64 = value.parse().expect("a number");
            assert!(all.insert(name.to_owned(), value).is_none(), "a sample twice: {line}");
        }
    }
    all
}

#[test]
fn figures_are_told_in_their_format_and_none_that_is_old() {
    let shed = Shed::new();
    let id = real_run(shed.server());
    let rows = json!({"rows": [{"head_c": 62.5, "pressure_hpa": 1001.5}]});
    for _ in 0..4 {
        let read = shed.server().post(&format!("/api/runs/{id}/readings"), &rows);
        assert_eq!(read.status, 200, "{read:?}");
        shed.server().pass_ms(1000);
    }
    let ask = || {
        let answer = shed.server().get("/metrics");
        let kind = answer.header("content-type").expect("a type");
        assert_eq!(kind, "application/openmetrics-text; version=1.0.0; charset=utf-8");
        samples(&String::from_utf8(answer.body).expect("text"))
    };
    let find = |samples: &BTreeMap<String, f64>, name: &str, label: &str| {
        let found = samples.iter().find(|(key, _)| key.starts_with(name) && key.contains(label));
        found.map(|(_, value)| *value)
    };
    let now = ask();
    assert_eq!(find(&now, "middlecut_reading_celsius{", "channel=\"head_c\""), Some(62.5));
    assert_eq!(find(&now, "middlecut_reading_pascals{", "pressure_hpa"), Some(100_150.0));
    assert_eq!(find(&now, "middlecut_reading_celsius{", "pot_c"), None, "it was never read");
    assert!(find(&now, "middlecut_next_end_timestamp_seconds{", "percentile=\"90\"").is_some());
    let states: f64 =
        now.iter().filter(|(key, _)| key.starts_with("middlecut_run_state{")).map(|(_, v)| v).sum();
    assert_eq!(states, 1.0, "one state is so");
    shed.server().pass_ms(60_000);
    crate::runs::wait_for(shed.server(), &id, "it is old", |run| {
        run["knowledge"]["channels"][0]["quality"] == "stale"
    });
    let old = ask();
    assert_eq!(find(&old, "middlecut_reading_celsius{", "head_c"), None);
    assert!(find(&old, "middlecut_channel_age_seconds{", "head_c").is_some_and(|age| age > 50.0));
}
