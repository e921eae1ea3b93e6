//! What was seen on a machine: plain data between looking and judging.

/// How a file or device could be reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Reached {
    /// It can be used.
    Yes,
    /// It is not there.
    Absent,
    /// There is no right to it; the group that has one, where it is known.
    Refused { group: Option<String> },
}

/// A source that `feeds.toml` names.
#[derive(Debug, Clone)]
pub(super) struct SourceSeen {
    pub(super) name: String,
    pub(super) kind: String,
    pub(super) path: String,
    pub(super) reached: Reached,
}

/// How the record was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum RecordSeen {
    /// None yet.
    Absent,
    /// Every digest holds.
    Whole { entries: i64 },
    /// What is wrong with it, and what to do.
    Faulty { what: String, hint: String },
}

/// A broker that `feeds.toml` names.
#[derive(Debug, Clone)]
pub(super) struct BrokerSeen {
    pub(super) address: String,
    /// Why nobody answers, where nobody does.
    pub(super) refused: Option<String>,
}

/// Everything that was looked at.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    pub(super) user: String,
    pub(super) folder: String,
    /// Why nothing can be written there, where nothing can.
    pub(super) folder_refused: Option<String>,
    /// Room on its disk, where the system says it.
    pub(super) free_bytes: Option<u64>,
    pub(super) record: RecordSeen,
    /// Whether the clock was set by another one; none where the system does not say.
    pub(super) clock_set: Option<bool>,
    /// Whether the system has a 1-wire bus.
    pub(super) one_wire_bus: bool,
    /// What is wrong with `feeds.toml`, where something is.
    pub(super) feeds_refused: Option<String>,
    pub(super) sources: Vec<SourceSeen>,
    pub(super) broker: Option<BrokerSeen>,
}
