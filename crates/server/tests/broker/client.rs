//! A client of a broker: sends messages and waits until each is acknowledged.

use std::io::{self, ErrorKind};
use std::net::TcpStream;
use std::time::Duration;

use super::packet::{CONNACK, CONNECT, DISCONNECT, PUBACK, Packet, text};

/// Longest wait for an answer.
const PATIENCE: Duration = Duration::from_secs(30);

/// One connection.
pub(crate) struct Client {
    stream: TcpStream,
    next: u16,
}

impl Client {
    /// Connects under that name, with user and password where they are given.
    pub(crate) fn connect(port: u16, name: &str, user: Option<(&str, &str)>) -> io::Result<Self> {
        let mut stream = TcpStream::connect(("127.0.0.1", port))?;
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.set_nodelay(true)?;
        // Name and level of the protocol, clean session, no keep-alive.
        let flags = 2 | if user.is_some() { 0xc0 } else { 0 };
        let mut body = [text("MQTT"), vec![4, flags, 0, 0], text(name)].concat();
        if let Some((user, password)) = user {
            body.extend([text(user), text(password)].concat());
        }
        Packet::new(CONNECT, &body).write(&mut stream)?;
        let answer = Packet::read(&mut stream)?;
        if answer.kind != CONNACK || answer.body.get(1) != Some(&0) {
            return Err(io::Error::new(ErrorKind::PermissionDenied, format!("{answer:?}")));
        }
        Ok(Self { stream, next: 0 })
    }

    fn number(&mut self) -> u16 {
        self.next = self.next % u16::MAX + 1;
        self.next
    }

    /// Sends a message and waits until the broker has it.
    pub(crate) fn publish(&mut self, topic: &str, payload: &str, retained: bool) -> io::Result<()> {
        let id = self.number();
        Packet::publish(topic, payload.as_bytes(), Some(id), retained).write(&mut self.stream)?;
        for _ in 0..10_000 {
            let answer = Packet::read(&mut self.stream)?;
            if answer.kind == PUBACK && answer.body == id.to_be_bytes() {
                return Ok(());
            }
        }
        Err(ErrorKind::TimedOut.into())
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        // A broker that is gone needs no word.
        let _ = Packet::new(DISCONNECT, &[]).write(&mut self.stream);
    }
}
