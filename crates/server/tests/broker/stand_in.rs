//! The stand-in: a thread for each connection, retained messages, last wills, users.

use std::collections::BTreeMap;
use std::io;
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use super::packet::{
    CONNACK, CONNECT, DISCONNECT, PINGREQ, PINGRESP, PUBACK, PUBLISH, Packet, SUBACK, SUBSCRIBE,
    take_text,
};

/// A broker on a port of its own.
pub(crate) struct StandIn {
    pub(crate) port: u16,
    shared: Arc<Mutex<Shared>>,
    thread: Option<JoinHandle<()>>,
}

#[derive(Default)]
struct Shared {
    /// The one user it takes, and the password; anybody where none is named.
    user: Option<(String, String)>,
    connections: Vec<Connection>,
    retained: BTreeMap<String, Vec<u8>>,
    next: u64,
    over: bool,
}

struct Connection {
    number: u64,
    stream: TcpStream,
    filters: Vec<String>,
    will: Option<(String, Vec<u8>)>,
}

fn lock(shared: &Mutex<Shared>) -> MutexGuard<'_, Shared> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

impl StandIn {
    /// One that takes anybody, or only that user.
    pub(crate) fn start(user: Option<(&str, &str)>) -> Self {
        Self::start_at(0, user)
    }

    /// As [`Self::start`], at that port.
    pub(crate) fn start_at(port: u16, user: Option<(&str, &str)>) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", port)).expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let user = user.map(|(user, password)| (user.to_owned(), password.to_owned()));
        let shared = Arc::new(Mutex::new(Shared { user, ..Shared::default() }));
        let of_thread = Arc::clone(&shared);
        let thread = std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                if lock(&of_thread).over {
                    return;
                }
                let shared = Arc::clone(&of_thread);
                std::thread::spawn(move || drop(serve(stream, &shared)));
            }
        });
        Self { port, shared, thread: Some(thread) }
    }

    /// What it keeps.
    pub(crate) fn retained(&self) -> BTreeMap<String, String> {
        let text = |payload: &Vec<u8>| String::from_utf8_lossy(payload).into_owned();
        let shared = lock(&self.shared);
        shared.retained.iter().map(|(topic, payload)| (topic.clone(), text(payload))).collect()
    }

    /// How many connections it ever took.
    pub(crate) fn taken(&self) -> u64 {
        lock(&self.shared).next
    }

    /// Loses its connections, as a network does: each last will is told.
    pub(crate) fn lose_connections(&self) {
        for connection in &lock(&self.shared).connections {
            // One that is gone already is closed.
            let _ = connection.stream.shutdown(Shutdown::Both);
        }
    }

    /// Goes away without a word to anybody.
    pub(crate) fn kill(self) {
        drop(self);
    }
}

impl Drop for StandIn {
    fn drop(&mut self) {
        let mut shared = lock(&self.shared);
        shared.over = true;
        for connection in shared.connections.drain(..) {
            // One that is gone already is closed.
            let _ = connection.stream.shutdown(Shutdown::Both);
        }
        drop(shared);
        // Wakes the thread that waits for connections; when it has ended the port is free.
        let _ = TcpStream::connect(("127.0.0.1", self.port));
        self.thread.take().map(JoinHandle::join);
    }
}

/// Serves one connection to its end.
fn serve(mut stream: TcpStream, shared: &Mutex<Shared>) -> io::Result<()> {
    stream.set_nodelay(true)?;
    let asked = Packet::read(&mut stream)?;
    if asked.kind != CONNECT {
        return Ok(());
    }
    let (will, user) = connect(&asked.body);
    let refused = lock(shared).user.as_ref().is_some_and(|known| user.as_ref() != Some(known));
    Packet::new(CONNACK, &[0, if refused { 5 } else { 0 }]).write(&mut stream)?;
    if refused {
        return Ok(());
    }
    let number = {
        let mut shared = lock(shared);
        shared.next += 1;
        let (number, stream) = (shared.next, stream.try_clone()?);
        shared.connections.push(Connection { number, stream, filters: Vec::new(), will });
        number
    };
    let _ = talk(&mut stream, number, shared);
    let mut shared = lock(shared);
    let place = shared.connections.iter().position(|one| one.number == number);
    let will = place.and_then(|place| shared.connections.swap_remove(place).will);
    if let Some((topic, payload)) = will {
        shared.forward(&topic, &payload, true);
    }
    Ok(())
}

/// Last will, and user with password, of a CONNECT.
#[expect(clippy::type_complexity, reason = "two pairs that may be missing")]
fn connect(body: &[u8]) -> (Option<(String, Vec<u8>)>, Option<(String, String)>) {
    let (_, rest) = take_text(body);
    let (flags, rest) = (rest[1], &rest[4..]);
    let (_, mut rest) = take_text(rest);
    let mut take = || {
        let (text, after) = take_text(rest);
        rest = after;
        text
    };
    let will = (flags & 4 != 0).then(|| (take(), take().into_bytes()));
    let user = (flags & 0x80 != 0).then(&mut take);
    let password = if flags & 0x40 == 0 { String::new() } else { take() };
    (will, user.map(|user| (user, password)))
}

fn talk(stream: &mut TcpStream, number: u64, shared: &Mutex<Shared>) -> io::Result<()> {
    loop {
        let packet = Packet::read(stream)?;
        let mut shared = lock(shared);
        match packet.kind {
            SUBSCRIBE => {
                let (id, mut rest) = packet.body.split_at(2);
                let mut granted = id.to_vec();
                let mut filters = Vec::new();
                while !rest.is_empty() {
                    let (filter, after) = take_text(rest);
                    rest = &after[1..];
                    granted.push(1);
                    filters.push(filter);
                }
                Packet::new(SUBACK, &granted).write(stream)?;
                for (topic, payload) in &shared.retained {
                    if filters.iter().any(|filter| feeds::is_meant(filter, topic)) {
                        Packet::publish(topic, payload, None, true).write(stream)?;
                    }
                }
                let own = shared.connections.iter_mut().find(|one| one.number == number);
                if let Some(own) = own {
                    own.filters.append(&mut filters);
                }
            }
            PUBLISH => {
                let (topic, payload, id) = packet.published();
                if let Some(id) = id {
                    Packet::new(PUBACK, &id.to_be_bytes()).write(stream)?;
                }
                shared.forward(&topic, &payload, packet.retained());
            }
            PINGREQ => Packet::new(PINGRESP, &[]).write(stream)?,
            DISCONNECT => {
                let own = shared.connections.iter_mut().find(|one| one.number == number);
                if let Some(own) = own {
                    own.will = None;
                }
                return Ok(());
            }
            _ => {}
        }
    }
}

impl Shared {
    fn forward(&mut self, topic: &str, payload: &[u8], retained: bool) {
        if retained && payload.is_empty() {
            self.retained.remove(topic);
        } else if retained {
            self.retained.insert(topic.to_owned(), payload.to_vec());
        }
        for to in &mut self.connections {
            if to.filters.iter().any(|filter| feeds::is_meant(filter, topic)) {
                // One that is gone hears nothing; its own thread takes it off.
                let _ = Packet::publish(topic, payload, Some(1), false).write(&mut to.stream);
            }
        }
    }
}
