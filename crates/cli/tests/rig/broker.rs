//! The broker of the shed: mosquitto where it is on the path, else the small stand-in.

use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::small::StandIn;

/// Longest wait until a broker listens.
const PATIENCE: Duration = Duration::from_secs(10);

/// A broker at a port of its own.
pub(crate) enum Broker {
    Mosquitto(Child),
    StandIn(Option<StandIn>),
}

/// Where Debian puts it, which is not on everybody's path.
fn mosquitto() -> Option<&'static str> {
    let there = |name: &&str| {
        let asked =
            Command::new(name).arg("-h").stdout(Stdio::null()).stderr(Stdio::null()).status();
        asked.is_ok()
    };
    ["mosquitto", "/usr/sbin/mosquitto"].into_iter().find(there)
}

/// A port that nobody has.
pub(crate) fn free_port() -> u16 {
    let listener = TcpListener::bind(("127.0.0.1", 0)).expect("a port");
    listener.local_addr().expect("an address").port()
}

impl Broker {
    /// Starts one at that port and waits until it listens.
    pub(crate) fn start(folder: &Path, port: u16) -> Self {
        let Some(program) = mosquitto() else {
            return Self::StandIn(Some(StandIn::start_at(port, None)));
        };
        let settings = folder.join("mosquitto.conf");
        let text = format!("listener {port} 127.0.0.1\nallow_anonymous true\npersistence false\n");
        std::fs::write(&settings, text).expect("written");
        let child = Command::new(program)
            .arg("-c")
            .arg(&settings)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("it can be started");
        let until = Instant::now() + PATIENCE;
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(Instant::now() < until, "{program} does not listen");
            std::thread::sleep(Duration::from_millis(20));
        }
        Self::Mosquitto(child)
    }

    /// What it is.
    pub(crate) const fn name(&self) -> &'static str {
        match self {
            Self::Mosquitto(_) => "mosquitto",
            Self::StandIn(_) => "a small stand-in for a broker",
        }
    }

    /// Ends it as a power cut does.
    pub(crate) fn kill(&mut self) {
        match self {
            Self::Mosquitto(child) => {
                // Already gone after the first time: then there is nothing to do.
                drop(child.kill());
                drop(child.wait());
            }
            Self::StandIn(stand_in) => drop(stand_in.take()),
        }
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        self.kill();
    }
}
