//! Feeds from probe to run: sources that the test makes, through a real server into a real run.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use sense::Probe;
use serde_json::{Value, json};

use crate::common::{Running, plan, real_run, start};
use crate::runs::{run, wait_for};

/// Time between two steps of a test, ms.
pub(crate) const STEP_MS: i64 = 5000;
/// Longest wait for what comes within seconds.
const WAIT: Duration = Duration::from_mins(1);
/// Time for what must not come, or leaves no other sign.
const PAUSE: Duration = Duration::from_secs(1);

/// A shed: a data folder with a server, sources beside it.
pub(crate) struct Shed {
    pub(crate) server: Option<Running>,
    pub(crate) folder: tempfile::TempDir,
}

impl Shed {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let server = Some(start(folder.path()));
        Self { server, folder }
    }

    pub(crate) fn server(&self) -> &Running {
        self.server.as_ref().expect("it runs")
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes the feeds of the still of the test's plan, and waits until they are at work.
    pub(crate) fn feed(&self, sources: &str) {
        self.feed_by("", sources);
    }

    /// As [`Self::feed`], with a broker.
    pub(crate) fn feed_by(&self, broker: &str, sources: &str) {
        let name = plan(self.server())["still"]["name"].as_str().expect("a name").to_owned();
        let text = format!("format = 1\n{broker}[[still]]\nname = \"{name}\"\n{sources}");
        replace(&self.path("feeds.toml"), text.as_bytes());
        self.until("the feeds are at work", |feeds| !feeds["stills"][0].is_null());
    }

    /// Writes a file that names a broker to be told of runs, and no probe.
    pub(crate) fn tell(&self, broker: &str) {
        replace(&self.path("feeds.toml"), format!("format = 1\n{broker}").as_bytes());
        self.until("the broker is told", |feeds| feeds["broker"]["connected"] == true);
    }

    /// Waits until the feeds are so.
    pub(crate) fn until(&self, what: &str, holds: impl Fn(&Value) -> bool) -> Value {
        let until = Instant::now() + WAIT;
        while Instant::now() < until {
            let feeds = self.server().get("/api/feeds").json();
            if holds(&feeds) {
                return feeds;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("{what}: {:#}", self.server().get("/api/feeds").json());
    }

    /// Waits until so many rows were stored.
    pub(crate) fn rows(&self, count: u64) -> Value {
        self.until(&format!("{count} rows"), |feeds| feeds["stills"][0]["rows"] == count)
    }

    /// Waits until that source says so of a channel.
    pub(crate) fn why(&self, source: &str, channel: &str, words: &str) {
        self.until(words, |feeds| {
            let why = value(feeds, source, channel)["why"].as_str().unwrap_or_default().to_owned();
            why.contains(words)
        });
    }

    /// What the record holds of a channel, once the server has stopped.
    pub(crate) fn stored(mut self, id: &str, probe: Probe) -> Vec<(f64, f64)> {
        self.server.take().expect("it runs").stop();
        let store = store::Store::open_read_only(self.folder.path()).expect("a record");
        store.verify().expect("a sound record");
        let rows = store.run(&store::RunId::new(id)).expect("the run").rows.readings;
        rows.iter().filter_map(|(time_s, row)| Some((*time_s, row.get(probe)?))).collect()
    }
}

/// A value of a source on the page's list.
pub(crate) fn value(feeds: &Value, source: &str, channel: &str) -> Value {
    let values = feeds["stills"][0]["values"].as_array().cloned().unwrap_or_default();
    let of = |value: &Value| value["source"] == source && value["channel"] == channel;
    values.into_iter().find(of).unwrap_or_default()
}

/// Puts a whole file in its place at once, as a kernel does.
pub(crate) fn replace(path: &Path, bytes: &[u8]) {
    let beside = path.with_extension("new");
    fs::write(&beside, bytes).expect("written");
    fs::rename(&beside, path).expect("put in its place");
}

/// The file of a 1-wire thermometer.
fn one_wire(path: &Path, thousandths: i32, checksum: &str) {
    let scratchpad = "4b 01 4b 46 7f ff 05 10 e1";
    let text = format!("{scratchpad} : crc=e1 {checksum}\n{scratchpad} t={thousandths}\n");
    replace(path, text.as_bytes());
}

pub(crate) fn source(
    name: &str,
    kind: &str,
    path: &Path,
    rest: &str,
    channel: &str,
    at: &str,
) -> String {
    format!(
        "[[still.source]]\nname = \"{name}\"\nkind = \"{kind}\"\npath = \"{}\"\n{rest}\n\
         [[still.source.value]]\nchannel = \"{channel}\"\n{at}\n",
        path.display()
    )
}

/// A shed with a 1-wire thermometer in the head, in a tree as the kernel's.
fn with_head() -> (Shed, PathBuf, String) {
    let shed = Shed::new();
    let tree = shed.path("w1/devices/28-0000000000aa");
    fs::create_dir_all(&tree).expect("a tree");
    let file = tree.join("w1_slave");
    let head = source("head", "one_wire", &file, "every_s = 0.2", "head_c", "");
    (shed, file, head)
}

pub(crate) fn values(rows: &[(f64, f64)]) -> Vec<f64> {
    assert!(rows.windows(2).all(|two| two[0].0 < two[1].0), "in the order of time: {rows:?}");
    rows.iter().map(|row| row.1).collect()
}

#[test]
fn a_one_wire_thermometer_comes_into_the_run_once_and_in_order() {
    let (shed, file, head) = with_head();
    let id = real_run(shed.server());
    one_wire(&file, 70_000, "YES");
    shed.feed(&head);
    shed.rows(1);
    for step in 1..5 {
        one_wire(&file, 70_000 + 500 * step, "YES");
        shed.server().pass_ms(STEP_MS);
        let feeds = shed.rows(u64::try_from(step).expect("small") + 1);
        let value = value(&feeds, "head", "head_c");
        assert_eq!((&value["speaks"], &value["why"]), (&json!(true), &Value::Null), "{value}");
        assert_eq!(value["raw"], 70.0 + 0.5 * f64::from(step), "{value}");
    }
    assert_eq!(values(&shed.stored(&id, Probe::Head)), [70.0, 70.5, 71.0, 71.5, 72.0]);
}

#[test]
fn a_wrong_checksum_is_no_reading_and_a_sentinel_is_told_by_the_run() {
    let (shed, file, head) = with_head();
    let id = real_run(shed.server());
    one_wire(&file, 70_000, "YES");
    shed.feed(&head);
    shed.rows(1);
    one_wire(&file, 70_500, "NO");
    shed.server().pass_ms(STEP_MS);
    shed.why("head", "head_c", "CRC NO");
    assert_eq!(shed.server().get("/api/feeds").json()["stills"][0]["rows"], 1);
    shed.server().pass_ms(STEP_MS);
    one_wire(&file, -127_000, "YES");
    shed.why("head", "head_c", "sent -127, the sign of a broken probe");
    shed.rows(2);
    shed.server().pass_ms(2 * STEP_MS);
    shed.rows(3);
    let told = |run: &Value| {
        let channels = run["knowledge"]["channels"].as_array().cloned().unwrap_or_default();
        let head = channels.into_iter().find(|channel| channel["name"] == "head_c");
        head.unwrap_or_default().to_string().contains("sent -127")
    };
    wait_for(shed.server(), &id, "the run says what is wrong", told);
    fs::remove_file(&file).expect("the probe is pulled out");
    shed.why("head", "head_c", "cannot be read");
    assert_eq!(values(&shed.stored(&id, Probe::Head)), [70.0, -127.0, -127.0]);
}

#[test]
fn another_source_falls_in_and_goes_when_the_first_is_back() {
    let (shed, file, head) = with_head();
    let table = shed.path("box.csv");
    let boxed =
        source("box", "file", &table, "every_s = 0.2", "head_c", "field = \"head\"\nunit = \"F\"");
    let id = real_run(shed.server());
    one_wire(&file, 70_000, "YES");
    shed.feed(&format!("{head}{boxed}"));
    shed.rows(1);
    let write = |row: &str| {
        let mut file = fs::OpenOptions::new().append(true).open(&table).expect("a table");
        file.write_all(row.as_bytes()).expect("written");
    };
    let raw_is = |raw: f64| {
        shed.until("the box was read", |feeds| value(feeds, "box", "head_c")["raw"] == raw);
    };
    shed.why("box", "head_c", "cannot be read");
    fs::write(&table, "time,head\n1,212\n").expect("a table");
    raw_is(212.0);
    fs::remove_file(&file).expect("the probe is pulled out");
    // A probe that was read once counts as typed, and is believed for ten minutes.
    shed.server().pass_ms(700_000);
    write("2,211\n");
    raw_is(211.0);
    let feeds = shed.rows(2);
    assert_eq!(value(&feeds, "box", "head_c")["speaks"], true);
    assert_eq!(value(&feeds, "head", "head_c")["speaks"], false);
    shed.server().pass_ms(STEP_MS);
    one_wire(&file, 99_000, "YES");
    shed.rows(3);
    shed.server().pass_ms(STEP_MS);
    let feeds = shed.rows(4);
    assert_eq!(value(&feeds, "head", "head_c")["speaks"], true);
    let why = value(&feeds, "box", "head_c")["why"].as_str().expect("a reason").to_owned();
    assert_eq!(why, "\"head\" stands before it");
    let rows: Vec<f64> = values(&shed.stored(&id, Probe::Head));
    let expected = [70.0, (211.0 - 32.0) / 1.8, 99.0, 99.0];
    assert!(rows.iter().zip(expected).all(|(row, value)| (row - value).abs() < 1e-9), "{rows:?}");
    assert_eq!(rows.len(), 4);
}

#[test]
fn a_table_gives_its_new_whole_rows_and_begins_anew_when_it_is_replaced() {
    let shed = Shed::new();
    let table = shed.path("air.csv");
    fs::write(&table, "time,pressure\n0,990\n1,99").expect("a table");
    let id = real_run(shed.server());
    // Where the system says when it grew, nobody waits for the next look.
    let every = if cfg!(target_os = "linux") { "every_s = 600" } else { "every_s = 0.2" };
    let air = source("air", "file", &table, every, "pressure_hpa", "field = \"pressure\"");
    shed.feed(&air);
    // What was there before is past, the row that was begun with it too.
    std::thread::sleep(PAUSE);
    let write = |row: &str| {
        let mut file = fs::OpenOptions::new().append(true).open(&table).expect("a table");
        file.write_all(row.as_bytes()).expect("written");
    };
    write("1\n2,1001\n");
    shed.rows(1);
    shed.server().pass_ms(STEP_MS);
    write("3,10");
    std::thread::sleep(PAUSE);
    assert_eq!(shed.server().get("/api/feeds").json()["stills"][0]["rows"], 1, "half a row");
    write("02\n");
    shed.rows(2);
    shed.server().pass_ms(STEP_MS);
    replace(&table, b"pressure,room\n1003,18\n");
    shed.rows(3);
    shed.server().pass_ms(STEP_MS);
    write("high,18\n");
    shed.why("air", "pressure_hpa", "\"high\", which is no number");
    assert_eq!(values(&shed.stored(&id, Probe::Pressure)), [1001.0, 1002.0, 1003.0]);
}

#[cfg(target_os = "linux")]
#[test]
fn an_adapter_that_is_pulled_out_and_put_back_goes_on() {
    let shed = Shed::new();
    let device = shed.path("adapter");
    let id = real_run(shed.server());
    let rest = "lines = \"json\"\nbaud = 9600";
    shed.feed(&source("box", "serial", &device, rest, "pot_c", "field = \"/t/pot\""));
    shed.why("box", "pot_c", "cannot be read");
    for sent in [[80.0, 81.0, 82.0], [90.0, 91.0, 92.0]] {
        let mut adapter = plug_in(&device);
        for pot_c in sent {
            let line = format!("{{\"t\": {{\"pot\": {pot_c}}}}}\n");
            let until = Instant::now() + WAIT;
            // A device sends again and again; the adapter is opened when it is looked for.
            while value(&shed.server().get("/api/feeds").json(), "box", "pot_c")["raw"] != pot_c {
                assert!(Instant::now() < until, "{:#}", shed.server().get("/api/feeds").json());
                shed.server().pass_ms(1000);
                adapter.write_all(line.as_bytes()).expect("sent");
                std::thread::sleep(PAUSE / 4);
            }
            shed.server().pass_ms(1000);
            std::thread::sleep(PAUSE);
        }
        drop(adapter);
        fs::remove_file(&device).expect("pulled out");
        shed.why("box", "pot_c", "cannot be read");
    }
    let mut rows = values(&shed.stored(&id, Probe::Pot));
    rows.dedup();
    assert_eq!(rows, [80.0, 81.0, 82.0, 90.0, 91.0, 92.0]);
}

/// A device of that name; what is written here is what it sends.
#[cfg(target_os = "linux")]
fn plug_in(device: &Path) -> fs::File {
    use std::os::unix::ffi::OsStrExt;

    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    let flags = OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC;
    let end = openpt(flags).expect("a terminal");
    grantpt(&end).expect("granted");
    unlockpt(&end).expect("unlocked");
    let name = ptsname(&end, Vec::new()).expect("a name");
    let name = Path::new(std::ffi::OsStr::from_bytes(name.as_bytes())).to_owned();
    std::os::unix::fs::symlink(name, device).expect("plugged in");
    end.into()
}

#[test]
fn a_broken_file_leaves_the_last_good_one_at_work_and_says_so() {
    let (shed, file, head) = with_head();
    let id = real_run(shed.server());
    one_wire(&file, 70_000, "YES");
    shed.feed(&head);
    shed.rows(1);
    let good = fs::read(shed.path("feeds.toml")).expect("the file");
    let broken = String::from_utf8_lossy(&good).replace("every_s = 0.2", "every_s = 0.01");
    replace(&shed.path("feeds.toml"), broken.as_bytes());
    let feeds = shed.until("it is refused", |feeds| !feeds["refused"].is_null());
    assert_eq!(feeds["refused"]["key"], "still[1].source[1].every_s");
    assert_eq!(
        (&feeds["refused"]["line"], &feeds["refused"]["value"]),
        (&json!(8), &json!("0.01"))
    );
    one_wire(&file, 71_000, "YES");
    shed.server().pass_ms(STEP_MS);
    shed.rows(2);
    fs::remove_file(&file).expect("the probe is pulled out");
    replace(&shed.path("feeds.toml"), &good);
    shed.until("it is good again", |feeds| feeds["refused"].is_null());
    fs::remove_file(shed.path("feeds.toml")).expect("taken away");
    shed.until("nothing is fed", |feeds| feeds["stills"] == json!([]));
    let rows = values(&shed.stored(&id, Probe::Head));
    assert_eq!(rows, [70.0, 71.0]);
}

#[test]
fn without_a_run_nothing_is_stored_and_that_is_said() {
    let (shed, file, head) = with_head();
    one_wire(&file, 70_000, "YES");
    shed.feed(&head);
    let refused = |feeds: &Value| {
        let said = feeds["stills"][0]["refused"].as_str().unwrap_or_default().to_owned();
        said.starts_with("no run of the still")
    };
    let feeds = shed.until("it says so", refused);
    assert_eq!(feeds["stills"][0]["rows"], 0);
    let id = real_run(shed.server());
    one_wire(&file, 71_000, "YES");
    shed.server().pass_ms(STEP_MS);
    let feeds = shed.rows(1);
    assert!(feeds["stills"][0]["refused"].is_null());
    assert!(run(shed.server(), &id)["knowledge"].is_object());
    assert_eq!(values(&shed.stored(&id, Probe::Head)), [71.0]);
}

#[cfg(unix)]
#[test]
fn a_source_that_hangs_keeps_nobody_from_stopping() {
    let (shed, file, head) = with_head();
    let made = std::process::Command::new("mkfifo").arg(&file).status().expect("mkfifo");
    assert!(made.success());
    shed.feed(&head);
    let told = Instant::now();
    let Shed { mut server, folder: _folder } = shed;
    server.take().expect("it runs").stop();
    assert!(told.elapsed() < WAIT / 4, "the thread that hangs was waited for");
}
