//! The temperature of the wash as far as it was read, wrong rows left out.

use crate::log::Log;

/// Hours a reading speaks for beyond the last one.
const HOLDS_H: f64 = 10.0;
/// A temperature so far from both its neighbours is not followed, K (judgement).
const JUMP_K: f64 = 5.0;

/// Temperatures of the wash, in the order of time.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Temperatures(Vec<(f64, f64)>);

impl Temperatures {
    pub(crate) fn of(log: &Log) -> Self {
        let glass = log.glass.iter().filter(|row| !row.cooled);
        let mut read: Vec<(f64, f64)> = glass
            .filter_map(|row| Some((row.time_h, row.temperature_c?)))
            .chain(log.float.iter().filter_map(|row| Some((row.time_h, row.temperature_c?))))
            .filter(|(_, celsius)| (0.0..50.0).contains(celsius))
            .collect();
        read.sort_by(|a, b| a.0.total_cmp(&b.0));
        let sound = |i: usize| {
            let near = [i.checked_sub(1), Some(i + 1)];
            let mut others = near.into_iter().flatten().filter_map(|j| read.get(j));
            others.clone().count() < 2 || others.any(|other| (other.1 - read[i].1).abs() < JUMP_K)
        };
        Self((0..read.len()).filter(|&i| sound(i)).map(|i| read[i]).collect())
    }

    /// The first one, where it was read in the first hours.
    pub(crate) fn first(&self) -> Option<f64> {
        self.0.first().filter(|first| first.0 < 3.0).map(|first| first.1)
    }

    /// What was read around an hour; none where nothing speaks for it.
    pub(crate) fn at(&self, time_h: f64) -> Option<f64> {
        let next = self.0.partition_point(|row| row.0 < time_h);
        match (next.checked_sub(1).map(|i| self.0[i]), self.0.get(next)) {
            (Some((t0, c0)), Some(&(t1, c1))) => {
                Some(c0 + (c1 - c0) * (time_h - t0) / (t1 - t0).max(1e-9))
            }
            (Some((t0, c0)), None) => (time_h - t0 < HOLDS_H).then_some(c0),
            (None, Some(&(t1, c1))) => (t1 - time_h < HOLDS_H).then_some(c1),
            (None, None) => None,
        }
    }
}
