//! A server of its own for a test: the program as a process, asked over a plain socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;

/// Longest wait for an answer.
const PATIENCE: Duration = Duration::from_secs(30);

/// The program under test.
pub(crate) fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_middlecut"))
}

/// A path as it is typed.
pub(crate) fn typed(path: &Path) -> &str {
    path.to_str().expect("test folders have plain names")
}

/// A server of its own, killed when it is dropped.
pub(crate) struct Served {
    child: Child,
    /// Where it listens.
    pub(crate) address: String,
}

impl Served {
    pub(crate) fn start(data: &Path) -> Self {
        Self::start_by(program(), data)
    }

    /// As [`Self::start`], by a program that was told something before.
    pub(crate) fn start_by(mut program: Command, data: &Path) -> Self {
        let mut child = program
            .args(["serve", "--no-open", "--port", "0", "--data", typed(data)])
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program can be started");
        let stdout = child.stdout.take().expect("stdout is piped");
        let mut first = String::new();
        BufReader::new(stdout).read_line(&mut first).expect("the first line is the address");
        let address = first.trim().trim_start_matches("http://").trim_end_matches('/').to_owned();
        assert!(address.starts_with("127.0.0.1:"), "the first line is the address: {first}");
        Self { child, address }
    }

    /// One request over a plain socket; status and JSON body.
    pub(crate) fn ask(&self, method: &str, path: &str, body: Option<&Value>) -> (u16, Value) {
        let mut stream = TcpStream::connect(&self.address).expect("the server listens");
        stream.set_read_timeout(Some(PATIENCE)).expect("a timeout can be set");
        let body = body.map(Value::to_string).unwrap_or_default();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.address,
            body.len()
        )
        .expect("the server takes the request");
        let mut answer = String::new();
        stream.read_to_string(&mut answer).expect("the server answers and closes");
        let (head, body) = answer.split_once("\r\n\r\n").expect("a head and a body");
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok());
        let body = body_of(head, body);
        (status.expect("a status"), serde_json::from_str(&body).unwrap_or(Value::Null))
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> Value {
        let (status, answer) = self.ask("POST", path, Some(body));
        assert!((200..300).contains(&status), "POST {path} {status}: {answer}");
        answer
    }

    pub(crate) fn get(&self, path: &str) -> Value {
        let (status, answer) = self.ask("GET", path, None);
        assert_eq!(status, 200, "GET {path}: {answer}");
        answer
    }

    /// Where it listens.
    pub(crate) fn address(&self) -> &str {
        &self.address
    }

    /// Its memory, resident now and at most, MB (Linux).
    pub(crate) fn memory_mb(&self) -> (f64, f64) {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let status = status.unwrap_or_default();
        let of = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name));
            let kilobytes = line.and_then(|line| line.split_whitespace().next()?.parse().ok());
            kilobytes.unwrap_or(f64::NAN) / 1000.0
        };
        (of("VmRSS:"), of("VmHWM:"))
    }

    /// Processor time it took so far, s (Linux, whose clock for it ticks a hundred times a second).
    pub(crate) fn processor_s(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id()));
        let stat = stat.unwrap_or_default();
        let rest = stat.rsplit(')').next().unwrap_or_default();
        let ticks: Vec<f64> =
            rest.split_whitespace().skip(11).take(2).filter_map(|word| word.parse().ok()).collect();
        ticks.iter().sum::<f64>() / 100.0
    }

    /// As the power goes.
    pub(crate) fn kill(mut self) {
        self.child.kill().expect("the server can be killed");
        self.child.wait().expect("the server is gone");
    }

    /// As a system that goes down asks every program to.
    pub(crate) fn terminate(mut self) {
        let ask = format!("kill -TERM {}", self.child.id());
        let asked = Command::new("sh").args(["-c", &ask]).status().expect("there is a shell");
        assert!(asked.success(), "{ask}: {asked}");
        let status = self.child.wait().expect("the server ends");
        assert!(status.success(), "the server ends as it should: {status}");
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // Already gone after `kill`: then there is nothing to do.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// The body, put together where it came in chunks.
fn body_of(head: &str, body: &str) -> String {
    if !head.to_ascii_lowercase().contains("transfer-encoding: chunked") {
        return body.to_owned();
    }
    let (mut whole, mut rest) = (String::new(), body);
    for _ in 0..10_000 {
        let Some((size, after)) = rest.split_once("\r\n") else { break };
        let size = usize::from_str_radix(size.trim(), 16).unwrap_or(0);
        if size == 0 {
            break;
        }
        whole.push_str(&after[..size]);
        rest = &after[size + 2..];
    }
    whole
}
