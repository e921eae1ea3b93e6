//! The feed of somebody who takes gzip: the same messages, at once, in a fraction of the bytes.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::cell::Cell;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::rc::Rc;
use std::time::Duration;

use crate::common::{real_run, start};
use serde_json::{Value, json};

/// Rows sent while it is followed.
const ROWS: u32 = 6;
/// Most bytes of a message on the wire: two of them a second come to 3 kB.
const MESSAGE_BYTES_MAX: usize = 1500;

/// Counts what passes.
struct Counted(TcpStream, Rc<Cell<usize>>);

impl Read for Counted {
    fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
        let read = self.0.read(to)?;
        self.1.set(self.1.get() + read);
        Ok(read)
    }
}

/// The data of the next `knowledge`.
fn next(lines: &mut impl BufRead) -> Value {
    let (mut line, mut known) = (String::new(), false);
    loop {
        line.clear();
        assert!(lines.read_line(&mut line).unwrap() > 0, "the feed ended");
        match line.trim_end().split_once(": ") {
            Some(("event", name)) => known = name == "knowledge",
            Some(("data", data)) if known => return serde_json::from_str(data).unwrap(),
            _ => {}
        }
    }
}

#[test]
fn a_follower_who_takes_gzip_costs_at_most_three_kilobytes_a_second() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let mut stream = TcpStream::connect(server.address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    let ask = format!(
        "GET /api/events?run={id} HTTP/1.0\r\nHost: {}\r\nAccept-Encoding: gzip\r\n\r\n",
        server.address
    );
    stream.write_all(ask.as_bytes()).unwrap();
    let count = Rc::new(Cell::new(0));
    let mut body = BufReader::new(Counted(stream, Rc::clone(&count)));
    let mut head = String::new();
    while !head.ends_with("\r\n\r\n") {
        assert!(body.read_line(&mut head).unwrap() > 0, "{head}");
    }
    assert!(head.to_lowercase().contains("content-encoding: gzip"), "{head}");
    // Room for a whole message: what does not fit, the decoder keeps until more comes.
    let mut lines = BufReader::with_capacity(1 << 18, flate2::bufread::GzDecoder::new(body));
    let first = next(&mut lines);
    let whole = first.to_string().len();
    let before = count.get();
    let (mut messages, mut bytes) = (0, 0);
    for row in 1..=ROWS {
        server.pass_ms(1000);
        let rows = json!({"rows": [{"head_c": 20.0 + f64::from(row) / 7.0}]});
        assert_eq!(server.post(&format!("/api/runs/{id}/readings"), &rows).status, 200);
        loop {
            let told = next(&mut lines);
            messages += 1;
            bytes += told.to_string().len();
            let of_head = |channel: &&Value| channel["name"] == "head_c";
            let channels = told["knowledge"]["channels"].as_array().unwrap();
            let head = channels.iter().find(of_head).and_then(|head| head["value"].as_f64());
            if head.is_some_and(|c| (c - 20.0 - f64::from(row) / 7.0).abs() < 1e-9) {
                break;
            }
        }
    }
    let sent = count.get() - before;
    assert!(sent / messages < MESSAGE_BYTES_MAX, "{sent} bytes for {messages} of {whole}");
    assert!(sent * 4 < bytes, "{sent} of {bytes}");
}
