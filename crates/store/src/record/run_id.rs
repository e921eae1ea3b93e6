//! What a run and an entry of it are called.

use serde::{Deserialize, Serialize};

/// Name of a run: time-ordered text, as `20261003-081200-4f2a`, never used twice.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RunId(pub(super) String);

impl RunId {
    /// The log of the house itself: its own still.
    pub(super) const HOUSE: &'static str = "house";

    /// The log of the account of pure alcohol.
    pub(super) const BOOK: &'static str = "book";

    /// How the names of washes begin: each has a log of its own.
    pub(super) const WASH: &'static str = "wash-";

    /// Whether it names the log of a wash.
    #[must_use]
    pub fn is_wash(&self) -> bool {
        self.0.starts_with(Self::WASH)
    }

    /// The name as it was given; whether there is such a run is asked of the store.
    #[must_use]
    pub fn new(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for RunId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Place of an entry in its run, counted from 1 without gaps.
pub type EntryNumber = i64;
