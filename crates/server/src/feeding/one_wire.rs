//! Reads the file of a 1-wire thermometer.

use std::fs::File;
use std::io::{self, Read};

use feeds::{LINE_BYTES_MAX, Told, read_one_wire};

/// One look; it takes as long as the thermometer's conversion.
pub(super) fn look(path: &str) -> io::Result<Told> {
    let mut bytes = Vec::new();
    File::open(path)?.take(LINE_BYTES_MAX as u64 + 1).read_to_end(&mut bytes)?;
    Ok(read_one_wire(&bytes))
}
