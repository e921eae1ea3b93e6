//! A page that is open: it follows the events of a run and notes when it first saw each value.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use sense::Probe;
use serde_json::Value;

use super::writers::{Signals, place_of};

/// Longest wait for a line: the feed sends a sign sooner.
const PATIENCE: Duration = Duration::from_secs(30);

/// When each place of a channel was first seen, itself or one after it.
pub(crate) type Seen = BTreeMap<Probe, Vec<(usize, Instant)>>;

/// Follows until it is told to stop.
pub(crate) fn follow(address: &str, run: &str, signals: &Signals) -> Seen {
    let mut stream = TcpStream::connect(address).expect("the server listens");
    stream.set_read_timeout(Some(PATIENCE)).expect("a timeout can be set");
    write!(
        stream,
        "GET /api/events?run={run} HTTP/1.1\r\nHost: {address}\r\nAccept: text/event-stream\r\n\r\n"
    )
    .expect("the server takes the request");
    let mut seen = Seen::new();
    for line in BufReader::new(stream).lines() {
        let line = line.expect("the feed goes on");
        let at = Instant::now();
        if let Some(data) = line.strip_prefix("data: ") {
            note(&mut seen, data, at);
        }
        if signals.stop.load(Ordering::SeqCst) {
            break;
        }
    }
    seen
}

fn note(seen: &mut Seen, data: &str, at: Instant) {
    let message: Value = serde_json::from_str(data).unwrap_or_default();
    let channels = message["knowledge"]["channels"].as_array();
    for channel in channels.into_iter().flatten() {
        let probe = channel["name"].as_str().and_then(Probe::of_column);
        let (Some(probe), Some(value)) = (probe, channel["value"].as_f64()) else { continue };
        let place = place_of(probe, value);
        let of_it = seen.entry(probe).or_default();
        if of_it.last().is_none_or(|last| last.0 < place) {
            of_it.push((place, at));
        }
    }
}
