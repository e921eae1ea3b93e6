//! What was learned from which runs: what is printed, and kept.

use estimate::{AlcoholBalance, Character};
use serde::Serialize;

/// One run that taught, and where its alcohol went.
#[derive(Debug, Serialize)]
pub(super) struct Taught {
    pub(super) run: String,
    pub(super) title: String,
    pub(super) start: String,
    pub(super) balance: AlcoholBalance,
    /// What was known of the still after it.
    #[serde(skip)]
    pub(super) character: Character,
}

/// Everything that is said.
#[derive(Debug, Serialize)]
pub(super) struct Known<'a> {
    pub(super) still: &'a str,
    pub(super) runs: usize,
    pub(super) character: &'a Character,
    pub(super) taught: &'a [Taught],
    /// Folders of runs that counted before.
    pub(super) counted_before: &'a [String],
    pub(super) kept_in: &'a str,
}
