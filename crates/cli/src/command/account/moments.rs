//! Moments as they are typed: with their zone, or a month.

use server::{Clock, zone_offset_minutes};
use store::time::{format_start, parse_start};

use crate::error::CliError;

/// Milliseconds of a minute.
const MINUTE_MS: i64 = 60_000;

fn refused(option: &'static str, text: &str) -> CliError {
    CliError::Typed {
        option,
        value: text.to_owned(),
        bound: "must be a moment with its zone, as 2026-10-03T14:20:00+02:00",
        hint: "a period may end with a month, as 2026-10".to_owned(),
    }
}

/// A moment and its zone, ms of UTC and minutes east of it; now where nothing was typed.
pub(crate) fn moment(option: &'static str, typed: Option<&str>) -> Result<(i64, i32), CliError> {
    if let Some(text) = typed {
        return parse_start(text).ok_or_else(|| refused(option, text));
    }
    let now_ms = Clock::default().now_ms();
    Ok((now_ms, zone_offset_minutes(now_ms)))
}

/// The last moment of a period: of a month in the zone of this computer, or as typed.
pub(super) fn end(option: &'static str, typed: &str) -> Result<i64, CliError> {
    if let Some((ms, _)) = parse_start(typed) {
        return Ok(ms);
    }
    let first = parse_start(&format!("{typed}-01T00:00:00Z"));
    let (first_ms, _) = first.filter(|_| typed.len() == 7).ok_or_else(|| refused(option, typed))?;
    let end_ms = account::month_end_ms(first_ms);
    Ok(end_ms - i64::from(zone_offset_minutes(end_ms)) * MINUTE_MS)
}

/// A moment as it is shown.
pub(super) fn shown(ms: i64, zone_minutes: i32) -> String {
    let seconds = ms.div_euclid(1000) * 1000;
    format_start(seconds, zone_minutes).unwrap_or_default()
}
