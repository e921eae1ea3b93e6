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
    /// A device that speaks at another speed sends such.
    #[error("sent bytes that are no text: is {0} baud the speed that it speaks at?")]
    Garbled(u32),
    /// Longer than any line.
    #[error("sent more than {LINE_BYTES_MAX} bytes in one line or message")]
    TooLong,
    /// A message that says nothing.
    #[error("sent an empty message")]
    EmptyMessage,
    /// A topic that nothing was heard of.
    #[error("\"{0}\" is listened to; nothing has come yet")]
    Awaited(String),
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
    /// A number with a comma in it, which may part decimals or thousands.
    #[error("sent \"{0}\", which is no number: a point parts the decimals")]
    WithComma(String),
    /// JSON where a bare number was looked for.
    #[error("sent JSON, {0}: say in field where in it the number stands")]
    NeedsField(String),
    /// A row with more cells than there are columns.
    #[error("sent a row of {cells} cells under {columns} columns: does a comma part its decimals?")]
    TooWide {
        /// Cells of the row.
        cells: usize,
        /// Columns of the table.
        columns: usize,
    },
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
    let text = std::str::from_utf8(bytes).map_err(|_| Unread::NotText)?;
    // A mark at the beginning and a nought at the end belong to how some programs keep text.
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text).trim_end_matches('\0'))
}

/// A cell as a number; `at` says which.
pub(crate) fn number(cell: &str, at: &str) -> Result<f64, Unread> {
    let cell = cell.trim();
    if cell.is_empty() {
        return Err(Unread::Empty(at.to_owned()));
    }
    let value: f64 = cell.parse().map_err(|_| no_number(cell))?;
    if value.is_finite() { Ok(value) } else { Err(Unread::NotFinite(shown(cell))) }
}

fn no_number(cell: &str) -> Unread {
    let by_comma = cell.replacen(',', ".", 1).parse::<f64>().is_ok();
    if by_comma { Unread::WithComma(shown(cell)) } else { Unread::NotANumber(shown(cell)) }
}
