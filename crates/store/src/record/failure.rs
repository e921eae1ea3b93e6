//! What is said of a log that is not whole.

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
