//! How late the readings of each channel come, seen by whoever is sent them.
//!
//! A feeder may gather what it read and send it together every few minutes. That is its pace and no
//! loss; what was held up once, by a network that was away, is a backlog and says nothing of the next.

use crate::cadence::{ALIKE, LIVE_MOST_S, TYPED_GAP_S};
use crate::probe::Probe;
use crate::reading::Reading;

/// Posts that must be alike before what is later than [`TYPED_GAP_S`] is a pace (judgement: a
/// network that goes away twice may do so for as long).
const POSTS: usize = 3;
/// Posts that come so soon one after the other are one, s (judgement: one in several requests).
const ONE_POST_S: f64 = 5.0;

/// All channels of a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lateness([Posts; Probe::COUNT]);

/// The last posts of a channel.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Posts {
    /// When each came and how late its first reading was, s; the latest last.
    last: [(f64, f64); POSTS],
    /// How late the next must be reckoned with, s.
    expected_s: f64,
}

impl Lateness {
    /// Takes rows that were sent together, each with its time, at `now_s`.
    pub fn take<'row>(&mut self, now_s: f64, rows: impl Iterator<Item = (f64, &'row Reading)>) {
        let mut most_s: [Option<f64>; Probe::COUNT] = Default::default();
        for (time_s, row) in rows {
            for (probe, _) in row.iter() {
                let most_s = &mut most_s[probe as usize];
                *most_s = Some((now_s - time_s).max(most_s.unwrap_or(0.0)));
            }
        }
        for (posts, late_s) in self.0.iter_mut().zip(most_s) {
            if let Some(late_s) = late_s {
                posts.take(now_s, late_s);
            }
        }
    }

    /// How late the next readings of a channel must be reckoned with, s.
    #[must_use]
    pub const fn expected_s(&self, probe: Probe) -> f64 {
        self.0[probe as usize].expected_s
    }
}

impl Posts {
    fn take(&mut self, now_s: f64, late_s: f64) {
        if late_s <= TYPED_GAP_S {
            // A post may end with what was just read.
            self.expected_s = late_s.max(self.expected_s / 2.0);
            return;
        }
        if late_s > LIVE_MOST_S {
            return;
        }
        if let Some(last) = self.last.last_mut().filter(|last| now_s - last.0 <= ONE_POST_S) {
            last.1 = last.1.max(late_s);
        } else {
            self.last.rotate_left(1);
            self.last[POSTS - 1] = (now_s, late_s);
        }
        let alike = |one: f64, other: f64| one.max(other) <= ALIKE * one.min(other);
        let paced = self.last.windows(2).all(|two| {
            let apart_s = two[1].0 - two[0].0;
            two[0].1 > 0.0 && alike(two[0].1, two[1].1) && alike(apart_s, two[1].1)
        });
        if paced {
            self.expected_s = late_s;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Lateness;
    use crate::probe::Probe;
    use crate::reading::Reading;

    /// A row each ten seconds, sent together at those moments.
    fn sent(at: &[u32]) -> Lateness {
        let mut lateness = Lateness::default();
        let row = Reading::default().with(Probe::Head, 78.0);
        let mut from_s = 0;
        for &now_s in at {
            let rows = (from_s..now_s).step_by(10).map(|time_s| (f64::from(time_s), &row));
            lateness.take(f64::from(now_s), rows);
            from_s = now_s;
        }
        lateness
    }

    #[test]
    fn posts_at_a_pace_are_expected_and_a_backlog_is_not() {
        assert_eq!(sent(&[60, 120]).expected_s(Probe::Head), 60.0);
        assert_eq!(sent(&[300, 600]).expected_s(Probe::Head), 0.0);
        let paced = sent(&[300, 600, 900]);
        assert_eq!((paced.expected_s(Probe::Head), paced.expected_s(Probe::Pot)), (300.0, 0.0));
        assert_eq!(sent(&[10, 20, 30, 400, 410, 420]).expected_s(Probe::Head), 10.0, "once");
        assert_eq!(sent(&[900, 1800, 2700]).expected_s(Probe::Head), 0.0, "too slow to be live");
        let faster: Vec<u32> = [300, 600, 900].into_iter().chain((910..1000).step_by(10)).collect();
        assert!(sent(&faster).expected_s(Probe::Head) < 11.0);
    }
}
