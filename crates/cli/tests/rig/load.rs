//! The whole of it: server, broker, sources and pages, with what is cut and mended meanwhile.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::atomic::Ordering;
use std::thread::{scope, sleep};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::broker::{Broker, free_port};
use super::follower::follow;
use super::judge::{Cut, Outcome};
use super::writers::{By, CHANNELS, Channel, Places, Signals, send, topic, write};
use crate::served::{Served, program, typed};

/// How heavy it is, and how long.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Load {
    pub(crate) stills: usize,
    pub(crate) time: Duration,
    /// How long the broker is away, and the adapter of the first still; none where nothing is cut.
    pub(crate) away: Option<Duration>,
}

/// The name of a still.
fn name(still: usize) -> String {
    format!("Column {still}")
}

/// Feeds of all stills.
fn feeds(folder: &Path, load: Load, port: u16) -> String {
    let mut text = format!(
        "format = 1\n[broker]\nhost = \"127.0.0.1\"\nport = {port}\n[broker.publish]\n\
         discovery = \"homeassistant\"\n"
    );
    for still in 0..load.stills {
        let places = Places::of(folder, still);
        let _ = writeln!(text, "[[still]]\nname = \"{}\"", name(still));
        for (source, by) in [
            ("broker", By::Broker),
            ("line", By::Serial),
            ("wire", By::OneWire),
            ("table", By::Table),
        ] {
            let _ = writeln!(text, "[[still.source]]\nname = \"{source}\"");
            let (kind, path, rest) = match by {
                By::Broker => ("mqtt", None, ""),
                By::Serial => ("serial", Some(&places.adapter), "lines = \"json\""),
                By::OneWire => ("one_wire", Some(&places.thermometer), "every_s = 0.1"),
                By::Table => ("file", Some(&places.table), "every_s = 0.1"),
            };
            let path = path.map(|path| format!("path = \"{}\"\n", typed(path)));
            let _ = writeln!(text, "kind = \"{kind}\"\n{}{rest}", path.unwrap_or_default());
            for (probe, _) in CHANNELS.iter().filter(|(_, other)| *other == by) {
                let _ = writeln!(text, "[[still.source.value]]\nchannel = \"{}\"", probe.column());
                let _ = match by {
                    By::Broker => writeln!(text, "topic = \"{}\"", topic(still, *probe)),
                    By::Serial => writeln!(text, "field = \"flow\""),
                    By::OneWire => Ok(()),
                    By::Table => writeln!(text, "field = \"pressure\""),
                };
            }
        }
    }
    text
}

/// Begins a real run of each still; their ids.
fn begin(served: &Served, stills: usize) -> Vec<String> {
    let house = served.get("/api/house");
    let begun = |still| {
        let mut plan = house["example"]["plans"][0].clone();
        plan.as_object_mut().expect("a plan").remove("id");
        plan["still"]["name"] = json!(name(still));
        let ask = json!({"plan": plan, "mode": "real", "started": true});
        served.post("/api/runs", &ask)["id"].as_str().expect("an id").to_owned()
    };
    (0..stills).map(begun).collect()
}

/// Waits until every source of the broker is listened to.
fn listened_to(served: &Served) {
    let until = Instant::now() + Duration::from_secs(30);
    loop {
        let feeds = served.get("/api/feeds");
        let stills = feeds["stills"].as_array().cloned().unwrap_or_default();
        let values =
            stills.iter().flat_map(|still| still["values"].as_array().into_iter().flatten());
        let of_broker: Vec<&Value> = values.filter(|value| value["kind"] == "mqtt").collect();
        let listens = |value: &&Value| {
            value["why"].as_str().is_some_and(|why| why.contains("nothing has come"))
        };
        if !of_broker.is_empty() && of_broker.iter().all(listens) {
            return;
        }
        assert!(Instant::now() < until, "{feeds:#}");
        sleep(Duration::from_millis(50));
    }
}

/// Runs it and judges every value.
pub(crate) fn run(folder: &Path, load: Load) -> Outcome {
    let data = folder.join("data");
    std::fs::create_dir_all(&data).expect("a folder");
    let port = free_port();
    let mut broker = Broker::start(folder, port);
    let mut outcome = Outcome { broker: broker.name(), ..Outcome::default() };
    let served = Served::start(&data);
    let runs = begin(&served, load.stills);
    std::fs::write(data.join("feeds.toml"), feeds(folder, load, port)).expect("written");
    listened_to(&served);
    let signals = Signals::default();
    let mut cuts = Vec::new();
    let (channels, seen) = scope(|scope| {
        let signals = &signals;
        let address = served.address();
        let pages: Vec<_> =
            runs.iter().map(|id| scope.spawn(move || follow(address, id, signals))).collect();
        let writers: Vec<_> = (0..load.stills)
            .flat_map(|still| {
                let places = Places::of(folder, still);
                let sends = scope.spawn(move || send(still, port, signals));
                [sends, scope.spawn(move || write(still, &places, signals))]
            })
            .collect();
        cuts = cut_and_mend(load, &mut broker, folder, port, signals);
        (outcome.resident_mb, outcome.most_resident_mb) = served.memory_mb();
        outcome.processor_s = served.processor_s();
        signals.stop.store(true, Ordering::SeqCst);
        let channels: Vec<Channel> =
            writers.into_iter().flat_map(|writer| writer.join().expect("it writes")).collect();
        let seen: Vec<_> = pages.into_iter().map(|page| page.join().expect("it follows")).collect();
        (channels, seen)
    });
    served.terminate();
    for (still, id) in runs.iter().enumerate() {
        let out = folder.join(format!("out{still}"));
        let export = program().args(["export", id, typed(&out), "--data", typed(&data)]).output();
        assert!(export.is_ok_and(|output| output.status.success()), "the run can be exported");
        let stored = store::folder::read_record(&out).expect("what was exported can be read").rows;
        assert!(stored.readings.is_sorted_by_key(|row| row.0), "in the order of time");
        for channel in channels.iter().filter(|channel| channel.still == still) {
            outcome.judge(channel, &stored, &seen[still], &cuts);
        }
    }
    outcome
}

/// Lets it run; after a third the broker goes away, after two thirds an adapter.
fn cut_and_mend(
    load: Load,
    broker: &mut Broker,
    folder: &Path,
    port: u16,
    signals: &Signals,
) -> Vec<Cut> {
    let Some(away) = load.away else {
        sleep(load.time);
        return Vec::new();
    };
    sleep(load.time / 3);
    let from = Instant::now();
    broker.kill();
    sleep(away);
    *broker = Broker::start(folder, port);
    let all = Cut { by: By::Broker, still: None, from, to: Instant::now() };
    sleep((load.time / 3).saturating_sub(away));
    let from = Instant::now();
    signals.unplugged.store(true, Ordering::SeqCst);
    sleep(away);
    signals.unplugged.store(false, Ordering::SeqCst);
    let first = Cut { by: By::Serial, still: Some(0), from, to: Instant::now() };
    sleep((load.time / 3).saturating_sub(away));
    vec![all, first]
}
