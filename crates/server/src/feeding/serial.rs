//! Reads the lines of a serial device, and opens it again when its adapter was pulled out.

use std::io::{self, ErrorKind};
use std::time::{Duration, Instant};

use feeds::{LineShape, Lines, Source, Told, Unread, read_line};
use serial2::SerialPort;

use super::line::Line;

/// Longest wait for bytes before it is looked whether to stop.
const READ_MAX: Duration = Duration::from_millis(200);
/// Wait before a device is opened again: at first, and at most (judgement: an adapter is back in
/// seconds; a device that is away for a day costs nothing).
const WAIT_FIRST: Duration = Duration::from_millis(500);
/// See [`WAIT_FIRST`].
const WAIT_MAX: Duration = Duration::from_secs(10);
/// Longest that a line waits for its end before that is said (judgement: the slowest sends a line in
/// less, and one that sends none has another speed).
const LINE_MAX: Duration = Duration::from_millis(1500);
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
    hold(&port)?;
    port.set_read_timeout(READ_MAX)?;
    // What came before anybody listened is none of now.
    port.discard_input_buffer()?;
    line.say(&format!("{} is open; nothing has come yet", source.path));
    let mut lines = Lines::from_amid();
    let mut bytes = [0; READ_BYTES];
    let mut ended = Instant::now();
    let mut told_amid = false;
    while !line.is_over() {
        let count = match port.read(&mut bytes) {
            Ok(0) => return Err(io::Error::new(ErrorKind::UnexpectedEof, "it is gone")),
            Ok(count) => count,
            Err(error) if is_pause(&error) => {
                if *came && !told_amid && lines.is_amid() && ended.elapsed() > LINE_MAX {
                    line.say(&format!(
                        "{} sends bytes and no end of a line: is {baud} baud the speed that it \
                         speaks at?",
                        source.path
                    ));
                    told_amid = true;
                }
                continue;
            }
            Err(error) => return Err(error),
        };
        *came = true;
        for taken in lines.take(&bytes[..count]) {
            (ended, told_amid) = (Instant::now(), false);
            let told: Told = taken.and_then(|taken| read_line(&taken, shape, &source.values));
            let told = told.map_err(|unread| match unread {
                Unread::NotText => Unread::Garbled(baud),
                other => other,
            });
            line.tell_ago(0.0, &told);
        }
    }
    Ok(())
}

/// Holds a device for this reader alone: of two that read one, each would get half of the lines.
#[cfg(target_os = "linux")]
fn hold(port: &SerialPort) -> io::Result<()> {
    use rustix::fs::{FlockOperation, flock};
    flock(port, FlockOperation::NonBlockingLockExclusive).map_err(|error| match error {
        rustix::io::Errno::WOULDBLOCK => {
            let what = "another program reads it, as one that serves does while this one tries";
            io::Error::new(ErrorKind::ResourceBusy, what)
        }
        other => other.into(),
    })
}

/// See above; here the system says what it does of two that read one.
#[cfg(not(target_os = "linux"))]
const fn hold(_: &SerialPort) -> io::Result<()> {
    Ok(())
}

fn is_pause(error: &io::Error) -> bool {
    matches!(error.kind(), ErrorKind::TimedOut | ErrorKind::WouldBlock | ErrorKind::Interrupted)
}
