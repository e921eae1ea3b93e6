//! What is said of a log that is not whole, and of one that takes nothing.

use super::run_id::EntryNumber;

/// The first thing that does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("run {run}, entry {entry}: {what}")]
pub struct VerifyFailure {
    /// The run; `-` where it is the log as a whole.
    pub run: String,
    /// The entry; 0 where it is the run as a whole.
    pub entry: EntryNumber,
    /// What is wrong.
    pub what: String,
}

/// Why nothing is recorded now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// Stable code, as the error's.
    pub code: &'static str,
    /// What is the matter.
    pub what: String,
    /// What to do about it.
    pub hint: String,
}
