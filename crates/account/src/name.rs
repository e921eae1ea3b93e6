//! Names of vessels, lots and people, as an entry may hold them.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::error::{AccountError, shown};

/// Most characters of a name of a vessel or a lot.
const NAME_CHARACTERS_MAX: usize = 40;
/// Most characters of a line of words.
const WORDS_CHARACTERS_MAX: usize = 500;

/// What a vessel or a lot is called: letters and digits, with `-`, `_`, `.` or `#` between. A copy
/// is the same text once more, not another one: a recall hands out tens of thousands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Name(Arc<str>);

impl Name {
    /// The name of that text.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for a text that is empty, too long, or holds anything else.
    pub fn new(text: &str) -> Result<Self, AccountError> {
        let fits = |c: char| c.is_alphanumeric() || "-_.#".contains(c);
        if (1..=NAME_CHARACTERS_MAX).contains(&text.chars().count()) && text.chars().all(fits) {
            return Ok(Self(text.into()));
        }
        Err(AccountError::OutOfRange {
            field: "name",
            value: shown(text),
            bound: "must be 1 to 40 letters, digits, - _ . or #",
            hint: "name a vessel or a lot without spaces, as T2 or J-2026-014",
        })
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Name {
    type Error = AccountError;

    fn try_from(text: String) -> Result<Self, AccountError> {
        Self::new(&text)
    }
}

impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.0.to_string()
    }
}

impl std::fmt::Display for Name {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Refuses words of more than one line, too many of them, with nothing in them, or beginning with a
/// sign at which a spreadsheet reckons.
pub(crate) fn check_words(field: &'static str, words: &str) -> Result<(), AccountError> {
    let fits = (1..=WORDS_CHARACTERS_MAX).contains(&words.chars().count());
    if fits
        && !words.starts_with(['=', '+', '-', '@'])
        && words.trim() == words
        && !words.contains(char::is_control)
    {
        return Ok(());
    }
    Err(AccountError::OutOfRange {
        field,
        value: shown(words),
        bound: "must be one line of 1 to 500 characters that begins with none of = + - @ and neither begins nor ends with a space",
        hint: "write it in one line and begin with a word; a table of the book is opened in spreadsheets, which reckon with such signs",
    })
}
