//! The start of a run as a file writes it, and as milliseconds of UTC inside.

use jiff::tz::Offset;
use jiff::{Timestamp, fmt::temporal::Pieces};

/// Milliseconds since 1970 UTC of an RFC 3339 timestamp, and its zone offset in minutes; none for
/// text that is no such timestamp.
#[must_use]
pub fn parse_start(text: &str) -> Option<(i64, i32)> {
    let timestamp: Timestamp = text.parse().ok()?;
    let offset = Pieces::parse(text).ok()?.to_numeric_offset().unwrap_or(Offset::UTC);
    Some((timestamp.as_millisecond(), offset.seconds() / 60))
}

/// The same moment as text, in the zone of that offset; none outside the years -9999 to 9999 or
/// for an offset of over a day.
#[must_use]
pub fn format_start(milliseconds: i64, zone_offset_minutes: i32) -> Option<String> {
    let offset = Offset::from_seconds(zone_offset_minutes.checked_mul(60)?).ok()?;
    let timestamp = Timestamp::from_millisecond(milliseconds).ok()?;
    Some(timestamp.display_with_offset(offset).to_string())
}

/// Date and time in UTC with the digits only, as `20261003-081200`: the time-ordered part of an id.
pub(crate) fn compact_utc(milliseconds: i64) -> Option<String> {
    let timestamp = Timestamp::from_millisecond(milliseconds).ok()?;
    Some(timestamp.strftime("%Y%m%d-%H%M%S").to_string())
}

#[cfg(test)]
mod tests {
    use super::{compact_utc, format_start, parse_start};

    #[test]
    fn a_start_comes_back_in_its_own_zone() {
        for text in ["2026-10-03T08:12:00+02:00", "2026-01-01T00:00:00.25-09:30"] {
            let (milliseconds, offset) = parse_start(text).unwrap();
            assert_eq!(format_start(milliseconds, offset).as_deref(), Some(text));
        }
        // 1 000 000 000 s of Unix time is 2001-09-09T01:46:40Z (common knowledge).
        assert_eq!(parse_start("2001-09-09T01:46:40Z"), Some((1_000_000_000_000, 0)));
        assert_eq!(compact_utc(1_000_000_000_000).as_deref(), Some("20010909-014640"));
        assert_eq!(parse_start("2026-10-03T08:12:00"), None);
    }
}
