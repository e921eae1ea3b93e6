//! Why what a source said is no reading.

/// Longest line of a source, and longest file of a 1-wire thermometer, bytes (judgement: a line of
/// every channel takes 300).
pub const LINE_BYTES_MAX: usize = 4096;

/// Most characters of a source's own text that are told (judgement: a cell, not a line).
const SHOWN_CHARACTERS_MAX: usize = 40;

/// What one look, line or row said: a number or a reason for each value that is wanted, or why
/// nothing of it could be read.
pub type Told = Result<Vec<Result<f64, Unread>>, Unread>;

/// Why there is no reading.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unread {
    /// The bytes are no text.
    #[error("sent bytes that are no UTF-8 text")]
    NotText,
    /// Longer than any line.
    #[error("sent a line of more than {LINE_BYTES_MAX} bytes")]
    TooLong,
    /// The checksum of a 1-wire thermometer is wrong.
    #[error("its checksum is wrong (CRC NO): a cable, a plug or the pull-up resistor")]
    Checksum,
    /// A 1-wire thermometer sent only zeros, whose checksum is right.
    #[error("sent only zeros: its data line is shorted")]
    OnlyZeros,
    /// The file is none of a 1-wire thermometer.
    #[error("its file does not look like a w1_slave: {0}")]
    NotOneWire(&'static str),
    /// No JSON object.
    #[error("sent no JSON object: {0}")]
    NotJson(String),
    /// The value is not in it.
    #[error("has no value at {0}")]
    Absent(String),
    /// The cell is empty.
    #[error("sent nothing at {0}")]
    Empty(String),
    /// No number.
    #[error("sent \"{0}\", which is no number")]
    NotANumber(String),
    /// Infinite, or the sign for no number.
    #[error("sent {0}, which is no finite number")]
    NotFinite(String),
    /// A message that the broker kept.
    #[error("the broker kept {0} from before it was listened to (retained): no reading of now")]
    Retained(String),
    /// Another topic of the same filter.
    #[error("\"{other}\" is meant by the filter too, and not listened to while \"{topic}\" comes")]
    AnotherTopic {
        /// The topic that is listened to.
        topic: String,
        /// The one that is not.
        other: String,
    },
    /// The time of a row is none.
    #[error("sent \"{0}\" as time: must be RFC 3339 with its offset, or seconds since 1970 UTC")]
    NotATime(String),
    /// The time of a row lies ahead.
    #[error("sent a time {0} s ahead: the clock of what writes it is wrong")]
    Ahead(u64),
    /// The time of a row lies far back.
    #[error("sent a time {0} s back: the clock of what writes it is wrong, or it writes late")]
    Old(u64),
}

/// A source's own text, short and without signs that no one can see.
pub(crate) fn shown(text: &str) -> String {
    let escaped = text.chars().take(SHOWN_CHARACTERS_MAX).flat_map(char::escape_debug);
    let mut short: String = escaped.collect();
    if text.chars().nth(SHOWN_CHARACTERS_MAX).is_some() {
        short.push('…');
    }
    short
}

/// Text of a source, within the bound.
pub(crate) fn text(bytes: &[u8]) -> Result<&str, Unread> {
    if bytes.len() > LINE_BYTES_MAX {
        return Err(Unread::TooLong);
    }
    std::str::from_utf8(bytes).map_err(|_| Unread::NotText)
}

/// A cell as a number; `at` says which.
pub(crate) fn number(cell: &str, at: &str) -> Result<f64, Unread> {
    let cell = cell.trim();
    if cell.is_empty() {
        return Err(Unread::Empty(at.to_owned()));
    }
    let value: f64 = cell.parse().map_err(|_| Unread::NotANumber(shown(cell)))?;
    if value.is_finite() { Ok(value) } else { Err(Unread::NotFinite(shown(cell))) }
}
