//! Moments as they are typed: with their zone, or a month.

use server::{Clock, period_end_ms, zone_offset_minutes};
use store::time::{format_start, parse_start};

use crate::error::CliError;

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
    period_end_ms(typed).ok_or_else(|| refused(option, typed))
}

/// A moment as it is shown.
pub(super) fn shown(ms: i64, zone_minutes: i32) -> String {
    let seconds = ms.div_euclid(1000) * 1000;
    format_start(seconds, zone_minutes).unwrap_or_default()
}
