//! The checks that look at the whole book.

use super::{Check, DAY_MS, Review};
use crate::balance::Span;
use crate::place::PlaceKind;

/// Days from 1970-01-01 to the first of a month: the civil calendar, months counted from March so
/// that the day of leap years stands last.
const fn days_to(year: i64, month: i64) -> i64 {
    let (year, from_march) = if month <= 2 { (year - 1, month + 9) } else { (year, month - 3) };
    let leap = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    // 306 days from March to the end of the year; (153 m + 2) / 5 days before month m of it.
    365 * year + leap + (153 * from_march + 2) / 5 + 1 - 719_469
}

/// The month of a moment of a local clock: months since January of the year 0.
pub(super) const fn month_of(local_ms: i64) -> i64 {
    let days = local_ms.div_euclid(DAY_MS);
    // A year is 365.2425 days on average; from the guess the month is at most one or two off.
    let mut month = (days * 10_000).div_euclid(3_652_425) * 12 + 1970 * 12 + 13;
    while days_to(month.div_euclid(12), month.rem_euclid(12) + 1) > days {
        month -= 1;
    }
    month
}

/// The last millisecond of the month of a moment of a local clock.
#[must_use]
pub const fn month_end_ms(local_ms: i64) -> i64 {
    let next = month_of(local_ms) + 1;
    days_to(next.div_euclid(12), next.rem_euclid(12) + 1) * DAY_MS - 1
}

fn month_words(month: i64) -> String {
    format!("{:04}-{:02}", month.div_euclid(12), month.rem_euclid(12) + 1)
}

impl Review<'_> {
    pub(super) fn look_at_idle(&mut self, now_ms: i64) {
        let latest = now_ms - i64::from(self.profile.idle_days) * DAY_MS;
        let mut idle = Vec::new();
        for holding in self.ledger.holdings() {
            let check = match holding.place.kind() {
                PlaceKind::Jar => Check::JarWithoutFate,
                PlaceKind::Feints | PlaceKind::LowWines => Check::FeintsNotCarried,
                _ => continue,
            };
            let Some(last) = holding.events.last().filter(|last| last.after > 0) else { continue };
            if last.at.0 < latest {
                let days = (now_ms - last.at.0) / DAY_MS;
                let now = holding.now();
                let text =
                    format!("{} holds {now} L, untouched for {days} days", holding.whereabouts());
                idle.push((check, last.at.1, text));
            }
        }
        for (check, entry, text) in idle {
            self.find(check, Some(entry), text);
        }
    }

    /// A month is closed before it is late, and before the next one goes on for long.
    pub(super) fn look_at_months(&mut self, now_ms: i64) {
        let within_ms = i64::from(self.profile.close_within_days) * DAY_MS;
        let months: Vec<(i64, i64)> =
            self.months.iter().map(|(month, (end, _))| (*month, *end)).collect();
        for (month, end_ms) in months {
            let closed = self.closes.iter().find(|(upto_ms, _)| *upto_ms >= end_ms).copied();
            let text = match closed {
                Some((_, entered_ms)) if entered_ms > end_ms + within_ms => {
                    let days = (entered_ms - end_ms) / DAY_MS;
                    format!("{} was closed {days} days after its end", month_words(month))
                }
                None if now_ms > end_ms + within_ms => {
                    format!("{} is not closed", month_words(month))
                }
                _ => continue,
            };
            self.find(Check::MonthNotClosed, None, text);
        }
    }

    pub(super) fn look_at_unexplained(&mut self) {
        let balance = self.ledger.balance(Span::ALL);
        let share = balance.not_explained_percent().unwrap_or_default();
        if share > self.profile.difference_percent {
            let text = format!(
                "{share:.2} % of all alcohol is not explained: {} L",
                balance.not_explained
            );
            self.find(Check::NotExplained, None, text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{DAY_MS, days_to, month_end_ms, month_of, month_words};

    #[test]
    fn months_are_those_of_the_calendar() {
        assert_eq!(days_to(1970, 1), 0);
        // 2000-03-01 is day 11017, 2026-12-01 day 20788 (common knowledge of calendars).
        assert_eq!(days_to(2000, 3), 11_017);
        assert_eq!(days_to(2026, 12), 20_788);
        for (day, words) in [
            (0, "1970-01"),
            (30, "1970-01"),
            (31, "1970-02"),
            (20_787, "2026-11"),
            (20_788, "2026-12"),
        ] {
            assert_eq!(month_words(month_of(day * DAY_MS)), words);
        }
        assert_eq!(month_end_ms(20_787 * DAY_MS), 20_788 * DAY_MS - 1);
    }
}
