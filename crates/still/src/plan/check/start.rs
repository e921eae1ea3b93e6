//! Checks the start: a timestamp with its zone offset (RFC 3339), without a calendar library.

use super::refuse::{PlanError, refuse, shown};

/// Refuses a start that is no RFC 3339 timestamp with an offset.
pub(super) fn check(start: &str) -> Result<(), PlanError> {
    if parse(start).is_some() {
        return Ok(());
    }
    Err(refuse(
        "start",
        format!("\"{}\"", shown(start)),
        "must be a date and time with its zone offset (RFC 3339)",
        "write it as \"2026-10-03T08:12:00+02:00\"",
    ))
}

/// Days of a month in the Gregorian calendar; 0 for a month that does not exist.
fn days_in(year: u32, month: u32) -> u32 {
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        _ => 0,
    }
}

/// Digits at `from..to` as a number.
fn digits(text: &str, from: usize, to: usize) -> Option<u32> {
    let part = text.get(from..to)?;
    if part.bytes().all(|byte| byte.is_ascii_digit()) { part.parse().ok() } else { None }
}

fn parse(start: &str) -> Option<()> {
    let marks = [(4, "-"), (7, "-"), (10, "T"), (13, ":"), (16, ":")];
    if !marks.iter().all(|&(at, mark)| start.get(at..=at) == Some(mark)) {
        return None;
    }
    let (year, month, day) = (digits(start, 0, 4)?, digits(start, 5, 7)?, digits(start, 8, 10)?);
    let clock = digits(start, 11, 13)? < 24 && digits(start, 14, 16)? < 60;
    let date = (1900..=2999).contains(&year) && day >= 1 && day <= days_in(year, month);
    if !clock || !date || digits(start, 17, 19)? >= 60 {
        return None;
    }
    offset(fraction(start.get(19..)?)?)
}

/// What follows the fraction of a second, if there is one.
fn fraction(rest: &str) -> Option<&str> {
    let Some(tail) = rest.strip_prefix('.') else { return Some(rest) };
    let offset = tail.trim_start_matches(|c: char| c.is_ascii_digit());
    let count = tail.len() - offset.len();
    if (1..=9).contains(&count) { Some(offset) } else { None }
}

fn offset(text: &str) -> Option<()> {
    if text == "Z" {
        return Some(());
    }
    let shape = text.len() == 6 && text.starts_with(['+', '-']) && text.get(3..4) == Some(":");
    (shape && digits(text, 1, 3)? < 24 && digits(text, 4, 6)? < 60).then_some(())
}

#[cfg(test)]
mod tests {
    use super::check;

    #[test]
    fn a_start_needs_its_zone_offset() {
        for good in
            ["2026-10-03T08:12:00+02:00", "2024-02-29T23:59:59.250Z", "2026-01-01T00:00:00-09:30"]
        {
            assert!(check(good).is_ok(), "{good}");
        }
        for bad in [
            "",
            "yesterday",
            "2026-10-03T08:12:00",
            "2026-10-03 08:12:00+02:00",
            "2026-02-29T08:12:00Z",
            "2026-13-01T08:12:00Z",
            "2026-10-03T24:00:00Z",
            "2026-10-03T08:12:00+2",
            "2026-10-03T08:12:00.Z",
            "2026-10-03T08:12:00+02:0é",
        ] {
            let error = check(bad).unwrap_err();
            assert_eq!(error.field, "start", "{bad}");
        }
    }
}
