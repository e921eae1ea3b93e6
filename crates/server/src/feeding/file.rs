//! The file `feeds.toml`: read within a bound, and again when it has changed.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use feeds::{Feeds, FeedsError};

/// Most bytes of the file (judgement: hundreds of sources).
const BYTES_MAX: u64 = 256_000;

/// What is known of the file without reading it.
type Stamp = Option<(SystemTime, u64)>;

/// The file, and how it was when it was last read.
#[derive(Debug)]
pub(super) struct Watched {
    path: PathBuf,
    stamp: Option<Stamp>,
}

impl Watched {
    /// A file that was not read yet.
    pub(super) const fn new(path: PathBuf) -> Self {
        Self { path, stamp: None }
    }

    /// What it says, where it is new; a file that is not there feeds nothing.
    pub(super) fn look(&mut self) -> Option<Result<Feeds, FeedsError>> {
        let about = std::fs::metadata(&self.path).ok();
        let stamp = about.and_then(|about| Some((about.modified().ok()?, about.len())));
        if self.stamp.replace(stamp) == Some(stamp) {
            return None;
        }
        Some(read(&self.path).map(Option::unwrap_or_default))
    }
}

/// Reads and checks the file; none where it is not there.
pub(super) fn read(path: &Path) -> Result<Option<Feeds>, FeedsError> {
    let refused = |what: String| FeedsError::unreadable(path, what);
    let file = match File::open(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        other => other.map_err(|error| refused(error.to_string()))?,
    };
    let mut bytes = Vec::new();
    let read = file.take(BYTES_MAX + 1).read_to_end(&mut bytes);
    read.map_err(|error| refused(error.to_string()))?;
    if bytes.len() as u64 > BYTES_MAX {
        return Err(refused(format!("longer than {BYTES_MAX} bytes")));
    }
    let text = String::from_utf8(bytes).map_err(|_| refused("not UTF-8 text".to_owned()))?;
    feeds::parse(text.strip_prefix('\u{feff}').unwrap_or(&text), path).map(Some)
}
