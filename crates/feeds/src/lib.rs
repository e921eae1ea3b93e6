//! What sources of readings say, and which of them speaks for a channel.
//!
//! Pure: bytes and times are arguments; who opens files and devices is `server`.

mod broker;
mod check;
mod desk;
mod error;
mod file;
mod growing;
mod heard;
mod line;
mod lines;
mod message;
mod one_wire;
mod table;
mod thin;
mod topic;
mod unit;
mod unread;

pub use broker::{Broker, Password, Publish, Tls};
pub use check::{FILE, NAME_CHARACTERS_MAX, SOURCES_MAX, STILLS_MAX, VALUES_MAX, parse};
pub use desk::{Desk, Row, Say};
pub use error::FeedsError;
pub use file::{At, Feeds, FeedsOf, LineShape, Source, SourceKind, Wanted, Whose};
pub use growing::{Growing, GrownRow, Look, TAIL_BYTES, ago_s};
pub use heard::Standing;
pub use line::read_line;
pub use lines::Lines;
pub use message::{Message, Messages, read_payload};
pub use one_wire::read_one_wire;
pub use thin::{Sifted, Thin};
pub use topic::{TOPIC_BYTES_MAX, filter_fault, is_meant, name_fault};
pub use unit::own_unit;
pub use unread::{LINE_BYTES_MAX, Told, Unread};
