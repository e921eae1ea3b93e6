//! A book of the account as files: a table whose lines are chained, and a page to print.
//!
//! `book.csv` alone holds everything; `book.html` is made from it and says the same. Both are
//! checked without this program's record, by [`verify`].

mod cells;
mod file;
mod names;
mod printed;

use account::{PROFILES, Profile};

pub use file::{BookFault, BookReport, VerifiedBook, page, read, verify, write};

/// Name of the table.
pub const TABLE_FILE: &str = "book.csv";
/// Name of the page to print.
pub const PAGE_FILE: &str = "book.html";

/// The profile of that name.
#[must_use]
pub fn profile(name: &str) -> Option<Profile> {
    let (_, text) = PROFILES.iter().find(|(known, _)| *known == name)?;
    toml::from_str(text).ok()
}
