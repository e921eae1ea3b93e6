//! What the rules of the file share: bounds, and how one refuses.

use std::fmt::Display;

use sense::Sensor;

use crate::file::Whose;

/// Most stills and most washes of a file, sources of one of them and values of a source (judgement: more than a shed
/// holds, few enough for a thread each).
pub const STILLS_MAX: usize = 8;
/// See [`STILLS_MAX`].
pub const SOURCES_MAX: usize = 16;
/// See [`STILLS_MAX`].
pub const VALUES_MAX: usize = 16;
/// Most characters of a name.
pub const NAME_CHARACTERS_MAX: usize = 60;
/// What a rule refuses: key, value, bound, hint.
#[derive(Debug)]
pub(super) struct Refused {
    pub(super) key: String,
    pub(super) value: String,
    pub(super) bound: String,
    pub(super) hint: &'static str,
}

pub(super) fn refused(
    key: impl Into<String>,
    value: &(impl Display + ?Sized),
    bound: impl Into<String>,
    hint: &'static str,
) -> Refused {
    Refused { key: key.into(), value: value.to_string(), bound: bound.into(), hint }
}

/// Whether a list has 1 to `most` members.
pub(super) fn within(
    key: &str,
    count: usize,
    most: usize,
    hint: &'static str,
) -> Result<(), Refused> {
    if (1..=most).contains(&count) {
        return Ok(());
    }
    let value = format!("{count} tables");
    Err(refused(key, &value, format!("must be there 1 to {most} times"), hint))
}

/// Whether a text can be a name.
pub(super) fn named(key: String, name: &str) -> Result<(), Refused> {
    let length = name.chars().count();
    if (1..=NAME_CHARACTERS_MAX).contains(&length) && !name.chars().any(char::is_control) {
        return Ok(());
    }
    let bound = format!("must have 1 to {NAME_CHARACTERS_MAX} characters, none of them a control");
    let value: String =
        name.chars().take(NAME_CHARACTERS_MAX).flat_map(char::escape_debug).collect();
    Err(refused(key, &format!("\"{value}\""), bound, "a short name that you know it by"))
}

/// The channel of that column.
pub(super) fn channel(key: &str, whose: Whose, column: &str) -> Result<Sensor, Refused> {
    let sensors = whose.sensors();
    sensors.iter().find(|sensor| sensor.column() == column).copied().ok_or_else(|| {
        let known: Vec<&str> = sensors.iter().map(|sensor| sensor.column()).collect();
        let known = format!("must be one of {} for a {}", known.join(", "), whose.word());
        refused(key, &format!("\"{column}\""), known, "see docs/feeds.md")
    })
}
