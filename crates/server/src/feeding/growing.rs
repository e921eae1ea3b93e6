//! Reads on in a table that grows.

use std::fs::{File, Metadata};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};

use feeds::{Growing, LINE_BYTES_MAX, Look, Source, Told};

/// Most bytes of one look; what is more waits for the next (judgement: a day of rows in seconds).
const LOOK_BYTES_MAX: u64 = 1_000_000;

/// A source of rows.
#[derive(Debug)]
pub(super) struct GrowingFile<'source> {
    source: &'source Source,
    known: Growing,
}

impl<'source> GrowingFile<'source> {
    pub(super) fn new(source: &'source Source) -> Self {
        Self { source, known: Growing::default() }
    }

    /// The newest row since the last look, where there is one.
    pub(super) fn look(&mut self) -> io::Result<Option<Told>> {
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
            Look::Nothing => Ok(None),
            Look::Head => {
                file.by_ref().take(LINE_BYTES_MAX as u64).read_to_end(&mut bytes)?;
                let mut last = [0];
                if length > 0 {
                    file.seek(SeekFrom::Start(length - 1))?;
                    file.read_exact(&mut last)?;
                }
                self.known.take_head(identity, length, &bytes, Some(last[0]));
                Ok(None)
            }
            Look::From(from) => {
                file.seek(SeekFrom::Start(from))?;
                file.take(LOOK_BYTES_MAX).read_to_end(&mut bytes)?;
                Ok(self.known.take(&bytes, &self.source.values).pop())
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
