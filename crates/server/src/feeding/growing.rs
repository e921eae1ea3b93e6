//! Reads on in a table that grows.

use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};

use feeds::{Growing, GrownRow, LINE_BYTES_MAX, Look, Source, ago_s};

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
}

impl<'source> GrowingFile<'source> {
    pub(super) fn new(source: &'source Source, every_s: f64, time: Option<&'source str>) -> Self {
        Self { source, every_s, time, known: Growing::default() }
    }

    /// Tells the rows since the last look; gives whether there were any.
    pub(super) fn look(&mut self, line: &Line) -> io::Result<bool> {
        let rows = self.rows()?;
        let count = rows.len() as f64;
        let now_utc_ms = line.now_utc_ms();
        for (place, row) in (0_u32..).zip(&rows) {
            let GrownRow { utc_ms, again, told } = row;
            match utc_ms.map(|utc_ms| ago_s(utc_ms, now_utc_ms)).transpose() {
                // Rows that do not say when came one after the other since the last look.
                Ok(None) => {
                    line.tell_ago(self.every_s * (1.0 - f64::from(place + 1) / count), told);
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
        let (identity, length) = (identity(&about), about.len());
        let mut bytes = Vec::new();
        match self.known.look(identity, length) {
            Look::Nothing => Ok(Vec::new()),
            Look::Head => {
                file.by_ref().take(LINE_BYTES_MAX as u64).read_to_end(&mut bytes)?;
                let mut last = [0];
                if length > 0 {
                    file.seek(SeekFrom::Start(length - 1))?;
                    file.read_exact(&mut last)?;
                }
                self.known.take_head(identity, length, &bytes, Some(last[0]));
                Ok(Vec::new())
            }
            Look::From(from) => {
                file.seek(SeekFrom::Start(from))?;
                file.take(LOOK_BYTES_MAX).read_to_end(&mut bytes)?;
                Ok(self.known.take(&bytes, &self.source.values, self.time))
            }
        }
    }
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
