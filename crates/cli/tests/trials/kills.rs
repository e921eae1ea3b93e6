//! The server is killed again and again at moments drawn by lot, while probes are sent to it and a
//! growing file is read by it: nothing that it acknowledged is lost, and its record verifies each time.

use std::fs::OpenOptions;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{scope, sleep};
use std::time::{Duration, Instant};

use sense::Probe;
use serde_json::json;
use store::{Entry, RunId, Store};

use crate::figures::{Figures, percentile};
use crate::past::example;
use crate::served::Served;

/// How often it is killed.
const KILLS: u32 = 200;
/// Feeders that send rows at once.
const FEEDERS: u32 = 3;
/// Longest life of a server, ms; judgement: long enough to begin, to read and to be in the midst.
const LIFE_MAX_MS: u64 = 400;
/// Every so many kills a life is longer by that: long enough to read of the file, twice.
const LONG_EVERY: u32 = 10;
const LONG_MS: u64 = 1200;
/// Between two lines of the growing file.
const LINE: Duration = Duration::from_millis(20);
/// Longest wait for one answer.
const PATIENCE: Duration = Duration::from_secs(5);

/// Numbers by lot that come out the same again (xorshift, Marsaglia 2003).
struct Lot(u64);

impl Lot {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % bound
    }
}

/// Sends a row; the number of its entry once it is acknowledged, none where the server is gone.
fn sent(address: &str, run: &str, key: &str, value: f64) -> Option<i64> {
    let body = json!({ "rows": [{ "head_c": value }], "key": key }).to_string();
    let mut stream = TcpStream::connect(address).ok()?;
    stream.set_read_timeout(Some(PATIENCE)).ok()?;
    let length = body.len();
    let head = format!(
        "POST /api/runs/{run}/readings HTTP/1.0\r\nHost: {address}\r\n\
         Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n"
    );
    stream.write_all(format!("{head}{body}").as_bytes()).ok()?;
    let mut answer = String::new();
    stream.read_to_string(&mut answer).ok()?;
    let (_, body) = answer.split_once("\r\n\r\n")?;
    let answer: serde_json::Value = serde_json::from_str(body).ok()?;
    answer["entry"].as_i64()
}

/// What one feeder was told is kept: entries with their values.
fn feed(address: &str, run: &str, mark: u64, stop: &AtomicBool) -> Vec<(i64, f64)> {
    let mut kept = Vec::new();
    for row in 0_u32.. {
        if stop.load(Ordering::SeqCst) {
            break;
        }
        // Every value is another one, so that each can be found again.
        let value = 20.0 + (mark * 1000 + u64::from(row)) as f64 / 1e6;
        match sent(address, run, &format!("{mark}-{row}"), value) {
            Some(entry) => kept.push((entry, value)),
            None => sleep(Duration::from_millis(1)),
        }
    }
    kept
}

/// A file of the still that grows, named to the server.
fn growing(data: &Path, still: &str) -> std::path::PathBuf {
    let file = data.join("air.csv");
    std::fs::write(&file, "time,pressure\n").expect("a file can be written");
    let feeds = format!(
        "format = 1\n[[still]]\nname = \"{still}\"\n[[still.source]]\nname = \"air\"\n\
         kind = \"file\"\npath = \"{}\"\nevery_s = 0.2\n[[still.source.value]]\n\
         channel = \"pressure_hpa\"\nfield = \"pressure\"\n",
        file.display()
    );
    std::fs::write(data.join("feeds.toml"), feeds).expect("a file can be written");
    file
}

/// Writes lines until told to stop.
fn grow(file: &Path, stop: &AtomicBool) {
    let mut file = OpenOptions::new().append(true).open(file).expect("the file is there");
    for line in 0_u32.. {
        if stop.load(Ordering::SeqCst) {
            return;
        }
        writeln!(file, "{line},{}", 1000.0 + f64::from(line % 400) / 10.0).expect("it grows");
        sleep(LINE);
    }
}

/// One life of the server, and what it acknowledged in it.
fn live(data: &Path, run: &str, kill: u32, life: Duration) -> (Vec<(i64, f64)>, Duration) {
    let began = Instant::now();
    let served = Served::start(data);
    let up = began.elapsed();
    let (address, stop) = (served.address.clone(), AtomicBool::new(false));
    let kept = scope(|scope| {
        let (address, stop) = (&address, &stop);
        let feeders: Vec<_> = (0..FEEDERS)
            .map(|place| {
                let mark = u64::from(kill * FEEDERS + place);
                scope.spawn(move || feed(address, run, mark, stop))
            })
            .collect();
        sleep(life);
        served.kill();
        stop.store(true, Ordering::SeqCst);
        feeders.into_iter().flat_map(|feeder| feeder.join().expect("it feeds")).collect()
    });
    (kept, up)
}

/// How many of these stand in the record as they were acknowledged.
fn held(store: &Store, run: &RunId, kept: &[(i64, f64)]) -> usize {
    let stands = |(entry, value): &&(i64, f64)| {
        let found = store.entries(run, entry - 1, 1).expect("the record can be read");
        matches!(&found[..], [logged] if matches!(&logged.entry, Entry::Readings(rows)
            if rows.iter().any(|row| row.1.get(Probe::Head) == Some(*value))))
    };
    kept.iter().filter(stands).count()
}

#[test]
fn two_hundred_kills_lose_nothing_that_was_acknowledged() {
    let mut figures = Figures::of("kills");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let plan = example("perry");
    let file = growing(folder.path(), &plan.still.name);
    let served = Served::start(folder.path());
    let ask = json!({ "plan": plan, "mode": "real", "started": true });
    let id = served.post("/api/runs", &ask)["id"].as_str().expect("an id").to_owned();
    served.kill();
    let (run, stop, mut lot) =
        (RunId::new(&id), AtomicBool::new(false), Lot(0x9e37_79b9_7f4a_7c15));
    let (mut all, mut verified, mut lost, mut ups_ms) = (Vec::new(), 0, 0, Vec::new());
    scope(|scope| {
        scope.spawn(|| grow(&file, &stop));
        for kill in 0..KILLS {
            let long_ms = if kill % LONG_EVERY == 0 { LONG_MS } else { 0 };
            let life = Duration::from_millis(lot.below(LIFE_MAX_MS) + long_ms);
            let (kept, up) = live(folder.path(), &id, kill, life);
            ups_ms.push(up.as_secs_f64() * 1000.0);
            let store = Store::open_read_only(folder.path()).expect("the record can be opened");
            verified += usize::from(store.verify().is_ok());
            lost += kept.len() - held(&store, &run, &kept);
            all.extend(kept);
        }
        stop.store(true, Ordering::SeqCst);
    });
    let store = Store::open_read_only(folder.path()).expect("the record can be opened");
    figures.all("the record verifies after a kill", verified, KILLS as usize);
    figures.tell("acknowledged and lost, after each kill", lost, "0", lost == 0);
    figures.all("acknowledged rows that stand in the end", held(&store, &run, &all), all.len());
    let state = store.run(&run).expect("the run can be read");
    let of = |probe| state.rows.readings.iter().filter(|row| row.1.get(probe).is_some()).count();
    figures.note("rows stored that were sent", of(Probe::Head));
    let read = of(Probe::Pressure);
    figures.tell("rows stored that were read of the file", read, "some", read > 0);
    let twice =
        all.len() - all.iter().map(|row| row.0).collect::<std::collections::BTreeSet<_>>().len();
    figures.tell("entries acknowledged twice", twice, "0", twice == 0);
    figures.note("start after a kill, median", format!("{:.0} ms", percentile(&mut ups_ms, 0.5)));
    figures.note("start after a kill, longest", format!("{:.0} ms", percentile(&mut ups_ms, 1.0)));
    figures.finish();
}
