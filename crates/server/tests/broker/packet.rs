//! Packets on the wire: kind and flags, length, body.

use std::io::{self, ErrorKind, Read, Write};

/// Most bytes of a packet that a test sends.
const BYTES_MAX: usize = 1_000_000;

pub(super) const CONNECT: u8 = 1;
pub(super) const CONNACK: u8 = 2;
pub(super) const PUBLISH: u8 = 3;
pub(super) const PUBACK: u8 = 4;
pub(super) const SUBSCRIBE: u8 = 8;
pub(super) const SUBACK: u8 = 9;
pub(super) const PINGREQ: u8 = 12;
pub(super) const PINGRESP: u8 = 13;
pub(super) const DISCONNECT: u8 = 14;

#[derive(Debug, Clone)]
pub(super) struct Packet {
    pub(super) kind: u8,
    pub(super) flags: u8,
    pub(super) body: Vec<u8>,
}

impl Packet {
    pub(super) fn new(kind: u8, body: &[u8]) -> Self {
        // SUBSCRIBE has a fixed flag.
        Self { kind, flags: if kind == SUBSCRIBE { 2 } else { 0 }, body: body.to_vec() }
    }

    /// A message; `id` where it is to be acknowledged.
    pub(super) fn publish(topic: &str, payload: &[u8], id: Option<u16>, retained: bool) -> Self {
        let mut body = text(topic);
        body.extend(id.iter().flat_map(|id| id.to_be_bytes()));
        body.extend(payload);
        let flags = u8::from(id.is_some()) << 1 | u8::from(retained);
        Self { kind: PUBLISH, flags, body }
    }

    /// Topic, payload and number of a message.
    pub(super) fn published(&self) -> (String, Vec<u8>, Option<u16>) {
        let (topic, mut rest) = take_text(&self.body);
        let id = (self.flags & 6 != 0).then(|| {
            let id = u16::from_be_bytes([rest[0], rest[1]]);
            rest = &rest[2..];
            id
        });
        (topic, rest.to_vec(), id)
    }

    pub(super) fn retained(&self) -> bool {
        self.flags & 1 == 1
    }

    pub(super) fn write(&self, to: &mut impl Write) -> io::Result<()> {
        let mut bytes = vec![self.kind << 4 | self.flags];
        let mut length = self.body.len();
        loop {
            let more = length >= 128;
            #[expect(clippy::cast_possible_truncation, reason = "seven bits of it")]
            bytes.push((length % 128) as u8 | u8::from(more) << 7);
            length /= 128;
            if !more {
                break;
            }
        }
        bytes.extend(&self.body);
        to.write_all(&bytes)
    }

    pub(super) fn read(from: &mut impl Read) -> io::Result<Self> {
        let mut byte = [0];
        from.read_exact(&mut byte)?;
        let [head] = byte;
        let mut length = 0;
        for place in 0..4 {
            from.read_exact(&mut byte)?;
            length |= usize::from(byte[0] & 127) << (7 * place);
            if byte[0] < 128 {
                break;
            }
        }
        if length > BYTES_MAX {
            return Err(ErrorKind::InvalidData.into());
        }
        let mut body = vec![0; length];
        from.read_exact(&mut body)?;
        Ok(Self { kind: head >> 4, flags: head & 15, body })
    }
}

/// A text with its length before it.
pub(super) fn text(text: &str) -> Vec<u8> {
    let length = u16::try_from(text.len()).expect("texts of a test are short");
    [&length.to_be_bytes()[..], text.as_bytes()].concat()
}

/// A text at the head of bytes, and what follows it.
pub(super) fn take_text(bytes: &[u8]) -> (String, &[u8]) {
    let length = usize::from(u16::from_be_bytes([bytes[0], bytes[1]]));
    (String::from_utf8_lossy(&bytes[2..2 + length]).into_owned(), &bytes[2 + length..])
}
