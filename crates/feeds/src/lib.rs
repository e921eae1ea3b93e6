//! What sources of readings say, and which of them speaks for a channel.
//!
//! Pure: bytes and times are arguments; who opens files and devices is `server`.

mod check;
mod desk;
mod error;
mod file;
mod growing;
mod heard;
mod line;
mod lines;
mod one_wire;
mod unit;
mod unread;

pub use check::{FILE, NAME_CHARACTERS_MAX, SOURCES_MAX, STILLS_MAX, VALUES_MAX, parse};
pub use desk::{Desk, Fresh, Say};
pub use error::FeedsError;
pub use file::{At, Feeds, LineShape, Source, SourceKind, StillFeeds, Wanted};
pub use growing::{Growing, Look};
pub use heard::Standing;
pub use line::read_line;
pub use lines::Lines;
pub use one_wire::read_one_wire;
pub use unit::Unit;
pub use unread::{LINE_BYTES_MAX, Told, Unread};
