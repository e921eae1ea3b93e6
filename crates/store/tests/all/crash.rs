//! A writer killed in the middle of writing loses nothing that was acknowledged.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use crate::common::NOW_MS;
use sense::Action;
use store::{Entry, RunId, Store};

/// Set in the child only: the data folder it writes into.
const CHILD: &str = "MIDDLECUT_TEST_WRITER";
/// The child would stop by itself after this many entries.
const CHILD_ENTRIES_MAX: u32 = 100_000;

/// The child: writes and acknowledges until it is killed.
fn write_until_killed(data_dir: &Path) {
    let store = Store::open(data_dir).unwrap();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let mut out = std::io::stdout();
    for second in 0..CHILD_ENTRIES_MAX {
        let text = format!("remark {second}");
        let entry = Entry::Action(f64::from(second), Action::Note { text });
        let number = store.append(&run, &entry, NOW_MS, NOW_MS).unwrap();
        // Only now is it acknowledged. A parent that has gone ends the child.
        writeln!(out, "\nacknowledged {run} {number}").unwrap();
        out.flush().unwrap();
    }
}

/// The parent: kills the child after `after` acknowledgements; gives the last one it saw.
fn kill_after(data_dir: &Path, after: usize) -> (RunId, i64) {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "crash::a_killed_writer_loses_no_acknowledged_entry", "--nocapture"])
        .env(CHILD, data_dir)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut last = None;
    let mut seen = 0;
    for line in lines.map_while(Result::ok) {
        let Some(rest) = line.strip_prefix("acknowledged ") else { continue };
        // The last line may be cut off by the kill.
        if let Some((run, number)) = rest.split_once(' ')
            && let Ok(number) = number.parse::<i64>()
        {
            last = Some((RunId::new(run), number));
            seen += 1;
        }
        if seen == after {
            child.kill().unwrap();
        }
    }
    child.wait().unwrap();
    last.expect("the child acknowledged something")
}

#[test]
fn a_killed_writer_loses_no_acknowledged_entry() {
    if let Some(data_dir) = std::env::var_os(CHILD) {
        write_until_killed(Path::new(&data_dir));
        return;
    }
    let room = tempfile::tempdir().unwrap();
    let mut written = Vec::new();
    for after in [1, 40, 173] {
        written.push(kill_after(room.path(), after));
        let store = Store::open(room.path()).expect("the lock dies with its process");
        store.verify().unwrap();
        for (run, acknowledged) in &written {
            let entries = store.entries(run, 0, 100_000).unwrap();
            let kept = entries.last().unwrap().number;
            // One more may have reached the disk before its acknowledgement reached us.
            assert!(kept >= *acknowledged, "{run}: {kept} of {acknowledged}");
            assert_eq!(i64::try_from(entries.len()).unwrap(), kept);
        }
    }
    let (run, acknowledged) = &written[2];
    let store = Store::open(room.path()).unwrap();
    let next = store.append(run, &Entry::Action(1.0, Action::Here), NOW_MS, NOW_MS).unwrap();
    assert!(next > *acknowledged, "writing goes on where it stopped");
    store.verify().unwrap();
}
