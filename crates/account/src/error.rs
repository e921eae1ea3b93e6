//! What the account refuses, and what it says about it: field, value, bound and a hint.

/// Most characters of a value in a message.
const SHOWN_MAX: usize = 60;

/// A text as a message shows it: short, in one line.
pub(crate) fn shown(text: &str) -> String {
    let clean: String = text.chars().take(SHOWN_MAX).filter(|c| !c.is_control()).collect();
    let more = if text.chars().count() > SHOWN_MAX { "…" } else { "" };
    format!("\"{clean}{more}\"")
}

/// Why an entry is not taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AccountError {
    /// A value that cannot be.
    #[error("{field} is {value}: it {bound}")]
    OutOfRange {
        /// Which.
        field: &'static str,
        /// What came.
        value: String,
        /// What is allowed.
        bound: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// What goes out of places is not what comes into others.
    #[error(
        "the entry takes {taken} L of pure alcohol and brings {brought} L: both must be the same"
    )]
    Unbalanced {
        /// Taken out, L.
        taken: String,
        /// Brought in, L.
        brought: String,
    },
    /// A place would hold less than none.
    #[error(
        "{place} would hold {left} L of pure alcohol after entry {after} (in the order of the acts): no place may hold less than 0"
    )]
    Overdrawn {
        /// The place and the lot.
        place: String,
        /// What would be left, L.
        left: String,
        /// At which entry; the new one where it is the one asked about.
        after: u64,
    },
    /// The act lies in a period that is closed.
    #[error("the act lies in the period that entry {closed} closed")]
    Closed {
        /// The entry that closed it.
        closed: u64,
    },
    /// An entry that is pointed at cannot be corrected.
    #[error("entry {entry} {why}")]
    NotCorrectable {
        /// Which.
        entry: u64,
        /// Why not.
        why: &'static str,
    },
    /// The alcohol of a liquid cannot be reckoned.
    #[error(transparent)]
    Alcoholometry(#[from] alcoholometry::AlcoholometryError),
}

impl AccountError {
    /// The field it is about.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::OutOfRange { field, .. } => field,
            Self::Unbalanced { .. } => "to",
            Self::Overdrawn { .. } => "from",
            Self::Closed { .. } => "act",
            Self::NotCorrectable { .. } => "corrects",
            Self::Alcoholometry(error) => error.field().name,
        }
    }

    /// Field, value and bound, where the error is about one of them.
    #[must_use]
    pub fn about(&self) -> Option<(&str, &str, &str)> {
        match self {
            Self::OutOfRange { field, value, bound, .. } => Some((field, value, bound)),
            Self::Unbalanced { .. } => Some(("to", "its sum", "must be what the entry takes")),
            Self::Overdrawn { place, .. } => {
                Some(("from", place, "must never hold less than 0 L, in the order of the acts"))
            }
            Self::Closed { .. } => {
                Some(("act", "its moment", "must lie after the period that is closed"))
            }
            Self::NotCorrectable { why, .. } => Some(("corrects", "the entry", why)),
            Self::Alcoholometry(_) => None,
        }
    }

    /// What to do.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::OutOfRange { hint, .. } => hint,
            Self::Unbalanced { .. } => {
                "name what is missing as a loss, as loss:transfer, or as not_explained"
            }
            Self::Overdrawn { .. } => {
                "enter first what came into it, or correct the amount; a late entry is judged where its act stands, against all that came after"
            }
            Self::Closed { .. } => {
                "what is found out later is entered with the time of now: a gain, a loss or a move that says which entry it is about"
            }
            Self::NotCorrectable { .. } => "name the number of an entry that holds",
            Self::Alcoholometry(error) => error.hint(),
        }
    }
}
