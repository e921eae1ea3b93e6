//! Reads the lines of a serial device, and opens it again when its adapter was pulled out.

use std::io::{self, ErrorKind};
use std::time::Duration;

use feeds::{LineShape, Lines, Source, Told, read_line};
use serial2::SerialPort;

use super::line::Line;

/// Longest wait for bytes before it is looked whether to stop.
const READ_MAX: Duration = Duration::from_millis(200);
/// Wait before a device is opened again: at first, and at most (judgement: an adapter is back in
/// seconds; a device that is away for a day costs nothing).
const WAIT_FIRST: Duration = Duration::from_millis(500);
/// See [`WAIT_FIRST`].
const WAIT_MAX: Duration = Duration::from_secs(10);
/// Bytes that are read at once.
const READ_BYTES: usize = 1024;

/// The whole life of the thread.
pub(super) fn read(source: &Source, baud: u32, shape: LineShape, line: &Line) {
    let mut wait = WAIT_FIRST;
    while !line.is_over() {
        let mut came = false;
        if let Err(error) = until_gone(source, baud, shape, line, &mut came) {
            line.trouble(&source.path, &error);
        }
        if came {
            wait = WAIT_FIRST;
        }
        if line.wait(wait) {
            return;
        }
        wait = (wait * 2).min(WAIT_MAX);
    }
}

/// Reads until the device is gone, or until it is told to stop.
fn until_gone(
    source: &Source,
    baud: u32,
    shape: LineShape,
    line: &Line,
    came: &mut bool,
) -> io::Result<()> {
    let mut port = SerialPort::open(&source.path, baud)?;
    port.set_read_timeout(READ_MAX)?;
    // What came before anybody listened is none of now.
    port.discard_input_buffer()?;
    let mut lines = Lines::from_amid();
    let mut bytes = [0; READ_BYTES];
    while !line.is_over() {
        let count = match port.read(&mut bytes) {
            Ok(0) => return Err(io::Error::new(ErrorKind::UnexpectedEof, "it is gone")),
            Ok(count) => count,
            Err(error) if is_pause(&error) => continue,
            Err(error) => return Err(error),
        };
        *came = true;
        for taken in lines.take(&bytes[..count]) {
            let told: Told = taken.and_then(|taken| read_line(&taken, shape, &source.values));
            line.tell_ago(0.0, &told);
        }
    }
    Ok(())
}

fn is_pause(error: &io::Error) -> bool {
    matches!(error.kind(), ErrorKind::TimedOut | ErrorKind::WouldBlock | ErrorKind::Interrupted)
}
