//! Reads on in a table that grows.

use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};
use std::time::UNIX_EPOCH;

use feeds::{Growing, GrownRow, LINE_BYTES_MAX, Look, Source, TAIL_BYTES, ago_s};

use super::line::Line;

/// Most bytes of one look; what is more waits for the next (judgement: a day of rows in seconds).
const LOOK_BYTES_MAX: u64 = 1_000_000;

/// A source of rows.
#[derive(Debug)]
pub(super) struct GrowingFile<'source> {
    source: &'source Source,
    /// From one look to the next, s.
    every_s: f64,
    /// The column that says when.
    time: Option<&'source str>,
    known: Growing,
    /// When it was looked at, s.
    looked_s: Option<f64>,
}

impl<'source> GrowingFile<'source> {
    pub(super) fn new(source: &'source Source, every_s: f64, time: Option<&'source str>) -> Self {
        Self { source, every_s, time, known: Growing::default(), looked_s: None }
    }

    /// Tells the rows since the last look; gives whether there were any.
    pub(super) fn look(&mut self, line: &Line) -> io::Result<bool> {
        let now_s = line.now_s();
        let before_s = self.looked_s.replace(now_s);
        let passed_s = before_s.map_or(self.every_s, |before_s| now_s - before_s).min(self.every_s);
        let rows = self.rows()?;
        let count = rows.len() as f64;
        let now_utc_ms = line.now_utc_ms();
        for (place, row) in (0_u32..).zip(&rows) {
            let GrownRow { utc_ms, again, told } = row;
            match utc_ms.map(|utc_ms| ago_s(utc_ms, now_utc_ms)).transpose() {
                // Rows that do not say when came one after the other since the last look.
                Ok(None) => {
                    line.tell_ago(passed_s * (1.0 - f64::from(place + 1) / count), told);
                }
                Ok(Some(ago_s)) if *again => line.tell_once(ago_s, told),
                Ok(Some(ago_s)) => line.tell_ago(ago_s, told),
                Err(unread) => line.tell(&Err(unread)),
            }
        }
        Ok(!rows.is_empty())
    }

    /// The rows since the last look.
    fn rows(&mut self) -> io::Result<Vec<GrownRow>> {
        let mut file = match File::open(&self.source.path) {
            Err(error) if error.kind() == ErrorKind::NotFound => {
                self.known.was_absent();
                return Err(error);
            }
            other => other?,
        };
        let about = file.metadata()?;
        let (identity, length, written) = (identity(&about), about.len(), written(&about));
        match self.known.look(identity, length, written) {
            Look::Nothing => Ok(Vec::new()),
            Look::Head => {
                let head = read_at(&mut file, 0, LINE_BYTES_MAX as u64)?;
                let from = length.saturating_sub(TAIL_BYTES as u64);
                let tail = read_at(&mut file, from, length - from)?;
                let about = (identity, length, written);
                self.known.take_head(about, &head, &tail, &self.source.values);
                Ok(Vec::new())
            }
            Look::From(from) => {
                let tail = self.known.tail().len();
                let before = from.saturating_sub(tail as u64);
                let mut bytes = read_at(&mut file, before, LOOK_BYTES_MAX + tail as u64)?;
                if bytes.starts_with(self.known.tail()) {
                    bytes.drain(..tail);
                } else {
                    self.known.begin_anew();
                    bytes = read_at(&mut file, 0, LOOK_BYTES_MAX)?;
                }
                Ok(self.known.take(&bytes, &self.source.values, self.time))
            }
        }
    }
}

/// So many bytes from there on, or as many as there are.
fn read_at(file: &mut File, from: u64, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.seek(SeekFrom::Start(from))?;
    file.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// When it was last written, as the system counts time; nought where it does not say.
fn written(about: &Metadata) -> u64 {
    let since = about.modified().ok().and_then(|at| at.duration_since(UNIX_EPOCH).ok());
    since.map_or(0, |since| u64::try_from(since.as_nanos()).unwrap_or(u64::MAX))
}

/// Which file it is, as the system counts them.
#[cfg(unix)]
fn identity(about: &Metadata) -> u64 {
    use std::os::unix::fs::MetadataExt;
    about.ino()
}

/// The system does not say; a file that is shorter than before is noticed all the same.
#[cfg(not(unix))]
const fn identity(_: &Metadata) -> u64 {
    0
}
