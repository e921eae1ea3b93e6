//! A server of its own for a test, and a plain HTTP client on a real socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use server::{Clock, HandClock, Listening, Options, Reach, Server};

/// Noon on some day, ms UTC.
pub(crate) const NOON_MS: i64 = 1_790_000_000_000;

pub(crate) struct Running {
    pub(crate) address: SocketAddr,
    pub(crate) hand: Arc<HandClock>,
    pub(crate) listening: Listening,
    stop: Option<tokio::sync::oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }

    pub(crate) fn header(&self, name: &str) -> Option<String> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim().to_owned())
        })
    }
}

/// Starts a server on that folder with a clock that stands at `now_ms`; it works out no estimates.
pub(crate) fn start_at(data_dir: &Path, now_ms: i64) -> Running {
    start_with(data_dir, now_ms, false)
}

/// As [`start_at`], with the estimates.
pub(crate) fn start_estimating_at(data_dir: &Path, now_ms: i64) -> Running {
    start_with(data_dir, now_ms, true)
}

fn start_with(data_dir: &Path, now_ms: i64, estimates: bool) -> Running {
    start_by(data_dir, Clock::by_hand(now_ms), estimates)
}

/// Starts a server on that folder with those clocks.
pub(crate) fn start_by(
    data_dir: &Path,
    (clock, hand): (Clock, Arc<HandClock>),
    estimates: bool,
) -> Running {
    start_reached(data_dir, (clock, hand), estimates, Reach::default())
}

/// As [`start_by`], reached as it says.
pub(crate) fn start_reached(
    data_dir: &Path,
    (clock, hand): (Clock, Arc<HandClock>),
    estimates: bool,
    reach: Reach,
) -> Running {
    let mut options = Options::new(data_dir.to_owned());
    options.clock = clock;
    options.estimates = estimates;
    options.reach = reach;
    options.allow_hosts = vec!["still.local".to_owned()];
    let (told, listening) = std::sync::mpsc::channel();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let thread = std::thread::spawn(move || {
        let runtime =
            tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build();
        runtime.unwrap().block_on(async move {
            let server = Server::bind(options).await.unwrap();
            told.send(server.listening().clone()).unwrap();
            let until = async {
                let _ = stopped.await;
            };
            server.run(until).await.unwrap();
        });
    });
    let listening: Listening = listening.recv().expect("the server starts");
    let address = listening.address;
    Running { address, hand, listening, stop: Some(stop), thread: Some(thread) }
}

pub(crate) fn start(data_dir: &Path) -> Running {
    start_at(data_dir, NOON_MS)
}

impl Running {
    pub(crate) fn stop(mut self) {
        self.halt();
    }

    fn halt(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }

    pub(crate) fn pass_ms(&self, ms: i64) {
        self.hand.pass_ms(ms);
    }

    /// Sends bytes as they are and reads the whole answer.
    pub(crate) fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
        stream.write_all(request).unwrap();
        Self::answer(&mut stream)
    }

    /// As [`Self::raw`], of what the server may not read to its end.
    pub(crate) fn raw_as_far(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
        let mut writes = stream.try_clone().unwrap();
        let request = request.to_vec();
        // Refused in the midst of it, the rest goes nowhere.
        let writing = std::thread::spawn(move || drop(writes.write_all(&request)));
        let answer = Self::answer(&mut stream);
        let _ = stream.shutdown(std::net::Shutdown::Both);
        writing.join().unwrap();
        answer
    }

    fn answer(stream: &mut TcpStream) -> Answer {
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let split = bytes.windows(4).position(|four| four == b"\r\n\r\n").expect("a head");
        let head = String::from_utf8_lossy(&bytes[..split]).into_owned();
        let status = head.split(' ').nth(1).and_then(|text| text.parse().ok()).expect("a status");
        Answer { status, head, body: bytes[split + 4..].to_vec() }
    }

    /// A request in HTTP/1.0, so that the answer comes in one piece.
    pub(crate) fn ask_with(&self, method: &str, path: &str, headers: &str, body: &[u8]) -> Answer {
        let host = if headers.to_lowercase().contains("host:") {
            String::new()
        } else {
            format!("Host: {}\r\n", self.address)
        };
        let length = body.len();
        let head =
            format!("{method} {path} HTTP/1.0\r\n{host}{headers}Content-Length: {length}\r\n\r\n");
        self.raw(&[head.as_bytes(), body].concat())
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.ask_with("GET", path, "", b"")
    }

    pub(crate) fn send(&self, method: &str, path: &str, body: &Value) -> Answer {
        let body = serde_json::to_vec(body).unwrap();
        self.ask_with(method, path, "Content-Type: application/json\r\n", &body)
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> Answer {
        self.send("POST", path, body)
    }

    /// Opens the live feed of a run.
    pub(crate) fn follow(&self, run: &str, last_event_id: Option<u64>) -> Feed {
        self.follow_with(run, last_event_id, "")
    }

    /// As [`Self::follow`], with further headers.
    pub(crate) fn follow_with(&self, run: &str, last_event_id: Option<u64>, more: &str) -> Feed {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        let known = last_event_id.map(|id| format!("Last-Event-ID: {id}\r\n")).unwrap_or_default();
        let head = format!(
            "GET /api/events?run={run} HTTP/1.1\r\nHost: {}\r\nAccept: text/event-stream\r\n{known}{more}\r\n",
            self.address
        );
        stream.write_all(head.as_bytes()).unwrap();
        Feed { lines: BufReader::new(stream) }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.halt();
    }
}

pub(crate) struct Feed {
    lines: BufReader<TcpStream>,
}

#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) event: String,
    pub(crate) id: Option<u64>,
    pub(crate) data: Value,
}

impl Feed {
    /// Whether the server ends the feed, sooner or later.
    pub(crate) fn ends(&mut self) -> bool {
        // The last piece of an answer is empty.
        (0..10_000).any(|_| {
            let mut line = String::new();
            self.lines.read_line(&mut line).is_ok_and(|bytes| bytes == 0 || line.trim() == "0")
        })
    }

    /// The next message; chunk sizes and comments are passed over.
    ///
    /// Comments keep the socket busy, so its own time limit does not bound the wait.
    pub(crate) fn receive(&mut self) -> Told {
        let (mut event, mut id, mut data) = (String::new(), None, String::new());
        let end = Instant::now() + Duration::from_mins(1);
        loop {
            assert!(Instant::now() < end, "no message within a minute");
            let mut line = String::new();
            assert!(self.lines.read_line(&mut line).expect("a message in time") > 0, "feed ended");
            let line = line.trim_end();
            if let Some(text) = line.strip_prefix("event: ") {
                text.clone_into(&mut event);
            } else if let Some(text) = line.strip_prefix("id: ") {
                id = text.parse().ok();
            } else if let Some(text) = line.strip_prefix("data: ") {
                text.clone_into(&mut data);
            } else if line.is_empty() && !event.is_empty() {
                return Told { event, id, data: serde_json::from_str(&data).unwrap() };
            }
        }
    }

    /// The next message of that name.
    pub(crate) fn next_of(&mut self, name: &str) -> Told {
        for _ in 0..10_000 {
            let told = self.receive();
            if told.event == name {
                return told;
            }
        }
        panic!("no {name} in 10 000 messages");
    }
}

/// The shortest plan of the example house.
pub(crate) fn plan(server: &Running) -> Value {
    let house = server.get("/api/house").json();
    let mut plan = house["example"]["plans"][0].clone();
    plan.as_object_mut().unwrap().remove("id");
    plan
}

/// Begins a real run whose time counts, and gives its id.
pub(crate) fn real_run(server: &Running) -> String {
    let answer =
        server.post("/api/runs", &json!({"plan": plan(server), "mode": "real", "started": true}));
    assert_eq!(answer.status, 201, "{answer:?}");
    answer.json()["id"].as_str().unwrap().to_owned()
}
