//! What a `feeds.toml` is refused for: file, line, key, value, bound and hint.

use std::path::Path;

/// Why a `feeds.toml` cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{}{}: {}{}{bound}",
    file.display(),
    line.map(|line| format!(":{line}")).unwrap_or_default(),
    if key.is_empty() { String::new() } else { format!("{key}: ") },
    if value.is_empty() { String::new() } else { format!("{value}: ") }
)]
pub struct FeedsError {
    /// The file.
    pub file: Box<Path>,
    /// Counted from 1; none where no line is meant.
    pub line: Option<usize>,
    /// Path of the key, as `still[1].source[2].baud`; empty where no key is meant.
    pub key: String,
    /// What stands there; empty where nothing does.
    pub value: String,
    /// What is wrong, or what is allowed.
    pub bound: String,
    /// What to do.
    pub hint: &'static str,
}

impl FeedsError {
    /// A file that cannot be read as text.
    #[must_use]
    pub fn unreadable(file: &Path, what: impl Into<String>) -> Self {
        Self {
            file: file.into(),
            line: None,
            key: String::new(),
            value: String::new(),
            bound: what.into(),
            hint: "check the path and the rights; feeds.toml lies in the data folder, as UTF-8 text; \
                   docs/feeds.md has examples to copy",
        }
    }
}
