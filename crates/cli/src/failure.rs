//! A failure as it is said: words and a hint, or one JSON object where `--json` asks for it.

use serde::Serialize;

/// What went wrong, what it is about and what to do.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Failure {
    /// In words.
    pub(crate) message: String,
    /// Option, key or column.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) field: Option<String>,
    /// What was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) value: Option<String>,
    /// What is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) bound: Option<String>,
    /// The file it stands in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) file: Option<String>,
    /// Its line, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) line: Option<usize>,
    /// Its column, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) column: Option<usize>,
    /// What to do.
    pub(crate) hint: String,
}

#[derive(Serialize)]
struct Wrapped<'a> {
    error: &'a Failure,
}

impl Failure {
    /// Says it on standard error; standard output holds data only.
    pub(crate) fn say(&self, json: bool) {
        let as_json = || serde_json::to_string_pretty(&Wrapped { error: self }).ok();
        match json.then(as_json).flatten() {
            Some(object) => eprintln!("{object}"),
            None => eprintln!("error: {}\nhint: {}", self.message, self.hint),
        }
    }
}
