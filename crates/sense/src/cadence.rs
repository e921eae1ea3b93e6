//! How often a probe is read, and so when it is stale.

use crate::numbers::median;

/// Readings further apart than this are typed by a person, s (judgement: no feeder is slower).
const TYPED_GAP_S: f64 = 90.0;
/// A typed reading is stale after this, s (judgement).
const TYPED_STALE_S: f64 = 600.0;
/// Missed readings that make a channel stale, and the least time, s (judgement: one lost packet is
/// no loss).
const STALE_READINGS: f64 = 3.0;
const STALE_LEAST_S: f64 = 10.0;
/// Intervals remembered.
const GAPS_MAX: usize = 8;
/// Two pauses are alike where neither is longer than the other by more than this factor, and follow
/// from a feeder that reads in bursts where they come this near to each other, in their length
/// (judgement).
const ALIKE: f64 = 1.5;
const BURST_SHARE: f64 = 2.0;
/// A probe of a wash may wake a few times a day: it is stale after three of its intervals, but no
/// later than this, and after this where its interval is not known yet, s (judgement).
const SLOW_STALE_MOST_S: f64 = 21_600.0;
const SLOW_STALE_S: f64 = 3600.0;
/// What came late comes late again, half as much after this, s (judgement).
const LATE_HALVES_S: f64 = 600.0;

/// The latest intervals between readings.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cadence {
    /// Whether it is of a wash, which moves in hours.
    slow: bool,
    last_s: Option<f64>,
    gaps: [f64; GAPS_MAX],
    count: usize,
    /// Median of the intervals remembered, s.
    usual_s: Option<f64>,
    /// The last two pauses, the later one last: when each ended and how long it was, s.
    pauses: [(f64, f64); 2],
    /// When readings last came late, as who waits for them saw it, and by how much, s.
    late: (f64, f64),
}

impl Cadence {
    /// Of a probe of a wash, of which nothing was read: one that sends each quarter of an hour is none
    /// that a person types.
    #[must_use]
    pub fn of_wash() -> Self {
        Self { slow: true, ..Self::default() }
    }

    /// Takes the time of a reading. `None` for one that is not later than the last; else whether
    /// the interval since the last was a gap, in which nothing is known of the probe.
    pub fn take(&mut self, time_s: f64) -> Option<bool> {
        let Some(last_s) = self.last_s.replace(time_s) else { return Some(false) };
        if time_s <= last_s {
            self.last_s = Some(last_s);
            return None;
        }
        let passed_s = time_s - last_s;
        let gap = self.count > 0 && passed_s > self.stale_after_s();
        if self.count > 0 && !self.typed() && passed_s > self.by_interval_s() {
            self.pauses = [self.pauses[1], (time_s, passed_s)];
        }
        self.gaps[self.count % GAPS_MAX] = passed_s;
        self.count = self.count.wrapping_add(1).max(1);
        let mut gaps = self.gaps;
        self.usual_s = median(&mut gaps[..self.count.min(GAPS_MAX)]);
        Some(gap)
    }

    /// Whether a person types it.
    #[must_use]
    pub fn typed(&self) -> bool {
        self.usual_s.is_none_or(|gap| gap > TYPED_GAP_S)
    }

    /// A reading came so late, s: sent together with others, as a feeder does that sends each minute
    /// what it read meanwhile. No feeder is slower than one that is typed: what comes later than that
    /// is a backlog, told once, and says nothing of how late the next will come.
    pub fn came_late(&mut self, late_s: f64) {
        let Some(last_s) = self.last_s else { return };
        if late_s >= self.late_s() && late_s <= TYPED_GAP_S {
            self.late = (last_s, late_s);
        }
    }

    /// How late readings must be reckoned with, s.
    fn late_s(&self) -> f64 {
        let passed_s = self.last_s.map_or(0.0, |last_s| (last_s - self.late.0).max(0.0));
        self.late.1 * 0.5_f64.powf(passed_s / LATE_HALVES_S)
    }

    /// Age at which it is stale, s: by its intervals, by the pauses of one that is read in bursts, and
    /// by how late it comes.
    #[must_use]
    pub fn stale_after_s(&self) -> f64 {
        let late_s = STALE_READINGS * self.late_s();
        self.by_interval_s().max(self.by_bursts_s()).max(late_s)
    }

    /// Three of the pauses of a channel that is read in bursts, s; 0 where it is not.
    fn by_bursts_s(&self) -> f64 {
        let [(before_s, one_s), (end_s, other_s)] = self.pauses;
        let (short_s, long_s) = (one_s.min(other_s), one_s.max(other_s));
        let alike = short_s > 0.0 && long_s <= ALIKE * short_s && long_s <= TYPED_GAP_S;
        let near = end_s - before_s <= BURST_SHARE * long_s
            && self.last_s.is_some_and(|last_s| last_s - end_s <= BURST_SHARE * long_s);
        if alike && near { STALE_READINGS * long_s } else { 0.0 }
    }

    fn by_interval_s(&self) -> f64 {
        match self.usual_s {
            Some(gap) if self.slow => {
                (STALE_READINGS * gap).clamp(STALE_LEAST_S, SLOW_STALE_MOST_S)
            }
            None if self.slow => SLOW_STALE_S,
            Some(gap) if gap <= TYPED_GAP_S => (STALE_READINGS * gap).max(STALE_LEAST_S),
            _ => TYPED_STALE_S,
        }
    }

    /// When it was last read, s.
    #[must_use]
    pub const fn last_s(&self) -> Option<f64> {
        self.last_s
    }

    /// The usual interval between readings, s.
    #[must_use]
    pub const fn usual_s(&self) -> Option<f64> {
        self.usual_s
    }

    /// Age of the last reading, s.
    #[must_use]
    pub fn age_s(&self, now_s: f64) -> Option<f64> {
        self.last_s.map(|last_s| (now_s - last_s).max(0.0))
    }

    /// Whether the last reading is too old.
    #[must_use]
    pub fn stale(&self, now_s: f64) -> bool {
        self.age_s(now_s).is_some_and(|age_s| age_s > self.stale_after_s())
    }
}

#[cfg(test)]
mod tests {
    use super::Cadence;

    fn read(times: impl IntoIterator<Item = f64>) -> Cadence {
        let mut cadence = Cadence::default();
        for time_s in times {
            cadence.take(time_s);
        }
        cadence
    }

    #[test]
    fn a_channel_that_is_read_in_bursts_is_not_stale_between_them() {
        let bursts = (0..4).flat_map(|minute| (0..5).map(move |s| f64::from(60 * minute + s)));
        let cadence = read(bursts.clone());
        assert!(!cadence.stale(184.0 + 60.0) && cadence.stale(184.0 + 200.0));
        // Read evenly again, it is stale after three readings.
        let evenly = read(bursts.chain((0..200).map(|s| 240.0 + f64::from(s))));
        assert!(evenly.stale(439.0 + 15.0));
        // One power cut makes no bursts.
        let cut = read((0..60).map(f64::from).chain((0..60).map(|s| 120.0 + f64::from(s))));
        assert!(cut.stale(179.0 + 15.0));
    }

    #[test]
    fn a_probe_of_a_wash_is_stale_after_three_of_its_intervals_however_long() {
        let read = |every_s: f64| {
            let mut cadence = Cadence::of_wash();
            for row in 0..5 {
                cadence.take(every_s * f64::from(row));
            }
            (cadence, every_s * 4.0)
        };
        let (quarter, last_s) = read(900.0);
        assert!(!quarter.stale(last_s + 2600.0) && quarter.stale(last_s + 2800.0));
        let (second, last_s) = read(1.0);
        assert!(second.stale(last_s + 11.0));
        let (day, last_s) = read(86_400.0);
        assert!(day.stale(last_s + 21_700.0), "what is six hours old is not live");
        let mut once = Cadence::of_wash();
        once.take(0.0);
        assert!(!once.stale(3500.0) && once.stale(3700.0));
    }

    #[test]
    fn readings_that_come_late_together_are_waited_for_and_a_backlog_is_not() {
        let mut cadence = read((0..30).map(|row| 10.0 * f64::from(row)));
        assert!(cadence.stale(290.0 + 31.0));
        cadence.came_late(50.0);
        assert!(!cadence.stale(290.0 + 100.0) && cadence.stale(290.0 + 151.0));
        let mut cadence = read((0..30).map(|row| 10.0 * f64::from(row)));
        cadence.came_late(3600.0);
        assert!(cadence.stale(290.0 + 31.0), "a backlog says nothing of the next reading");
        cadence.came_late(80.0);
        assert!(!cadence.stale(290.0 + 200.0));
        for row in 30..330 {
            cadence.take(10.0 * f64::from(row));
        }
        assert!(cadence.stale(3290.0 + 31.0));
    }
}
