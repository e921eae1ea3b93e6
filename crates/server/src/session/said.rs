//! What was said of a run, so that nothing is said twice when its past is gone through again.

use std::collections::HashMap;

use advise::Event;

/// Events of one code that lie no further apart are one, where a late row moved it; judgement:
/// a good deal longer than rows come late, and shorter than an alarm takes to come again.
const SAME_MAX_MS: i64 = 30_000;

/// What is said of each alarm in the same code: its words, which hold no figures, tell which.
const OF_ALARMS: [&str; 3] = ["alarm_over", "alarm_cause_gone", "quiet_over"];

/// One time that something was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Time {
    ms: i64,
    /// The past was gone through again and it did not come so far.
    missing: bool,
}

/// What was said, by code.
#[derive(Debug, Clone, Default)]
pub(crate) struct SaidBefore(HashMap<String, Vec<Time>>);

/// To the millisecond, as files hold times.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
pub(super) fn ms(time_s: f64) -> i64 {
    (time_s * 1000.0).round() as i64
}

impl SaidBefore {
    /// Takes note of something that was said; gives whether it is new.
    pub(crate) fn remember(&mut self, time_s: f64, code: &str, text: &str) -> bool {
        let ms = ms(time_s);
        let of_alarm = OF_ALARMS.contains(&code);
        let key = if of_alarm { format!("{code}: {text}") } else { code.to_owned() };
        let times = self.0.entry(key).or_default();
        if let Some(same) = times.iter_mut().find(|time| time.ms == ms) {
            same.missing = false;
            return false;
        }
        let missing = times.iter_mut().filter(|time| time.missing);
        let near = missing.min_by_key(|time| (time.ms - ms).abs());
        if let Some(near) = near.filter(|time| (time.ms - ms).abs() <= SAME_MAX_MS) {
            *near = Time { ms, missing: false };
            return false;
        }
        times.push(Time { ms, missing: false });
        true
    }

    /// What of `said` is new; from now on it is not.
    pub(crate) fn only_new(&mut self, said: Vec<Event>) -> Vec<Event> {
        let mut is_new = |event: &Event| self.remember(event.time_s, event.code, &event.text);
        said.into_iter().filter(|event| is_new(event)).collect()
    }

    /// The past after that second is gone through again, from its beginning where there is none.
    pub(crate) fn again_from(&mut self, second: Option<u64>) {
        let from_ms = second.map_or(i64::MIN, |second| ms(second as f64));
        for time in self.0.values_mut().flatten().filter(|time| time.ms > from_ms) {
            time.missing = true;
        }
    }

    /// What has not come again will not: it was withdrawn.
    pub(crate) fn let_go(&mut self) {
        for time in self.0.values_mut().flatten() {
            time.missing = false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::SaidBefore;

    #[test]
    fn what_a_late_row_moves_by_seconds_is_said_once() {
        let mut said = SaidBefore::default();
        assert!(
            said.remember(100.0, "first_vapour", "") && !said.remember(100.0, "first_vapour", "")
        );
        assert!(said.remember(140.0, "first_vapour", ""), "without a late row it is another");
        said.again_from(Some(95));
        assert!(!said.remember(99.0, "first_vapour", ""), "earlier now");
        assert!(!said.remember(141.0, "first_vapour", ""), "later now");
        assert!(said.remember(142.0, "first_vapour", ""), "each stands for one");
    }

    #[test]
    fn two_alarms_that_are_over_in_one_second_are_both_told() {
        let mut said = SaidBefore::default();
        assert!(
            said.remember(100.0, "alarm_over", "coolant")
                && said.remember(100.0, "alarm_over", "head")
        );
        assert!(!said.remember(100.0, "alarm_over", "head"));
    }

    #[test]
    fn what_was_withdrawn_and_done_again_is_said_again() {
        let mut said = SaidBefore::default();
        assert!(said.remember(100.0, "hearts", ""));
        said.again_from(Some(95));
        said.let_go();
        assert!(said.remember(105.0, "hearts", ""));
    }
}
