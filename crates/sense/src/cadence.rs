//! How often a probe is read, and so when it is stale.

use crate::numbers::median;
use crate::probe::Probe;
use crate::sensor::Sensor;

/// Readings further apart than this are typed by a person, unless they come as regularly as no person
/// types, s (judgement).
pub(crate) const TYPED_GAP_S: f64 = 90.0;
/// What is older is never live, whoever reads it and however seldom, s (judgement: a still runs from
/// one step into the next meanwhile). A typed reading is stale after this.
pub(crate) const LIVE_MOST_S: f64 = 600.0;
/// The same for what watches the coolant or the vent where a feeder reads it, s: three readings of
/// the slowest feeder that can watch them (judgement: minutes after the coolant stops there is vapour
/// in the room).
const WATCH_MOST_S: f64 = STALE_READINGS * TYPED_GAP_S;
/// Missed readings that make a channel stale, and the least time, s (judgement: one lost packet is
/// no loss).
const STALE_READINGS: f64 = 3.0;
const STALE_LEAST_S: f64 = 10.0;
/// Intervals remembered.
const GAPS_MAX: usize = 8;
/// A slow feeder is told from a person by so many intervals, of which all but one are its usual one,
/// or a multiple of it where readings were lost, within this share or this many seconds (judgement: a
/// board that wakes and looks for its network; nobody types to the second).
const STEADY_GAPS_MIN: usize = 5;
const STEADY_SHARE: f64 = 0.03;
const STEADY_S: f64 = 5.0;
/// Two pauses are alike where neither is longer than the other by more than this factor, and follow
/// from a feeder that reads in bursts where they come this near to each other, in their length
/// (judgement). Of pauses as long as those of a person it takes one more: power fails twice.
pub(crate) const ALIKE: f64 = 1.5;
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
    /// Whether it watches the coolant or the vent.
    watches: bool,
    /// How often whoever reads it says that it is read, s.
    stated_s: Option<f64>,
    last_s: Option<f64>,
    gaps: [f64; GAPS_MAX],
    count: usize,
    /// Median of the intervals remembered, s.
    usual_s: Option<f64>,
    /// Whether they are those of a slow feeder.
    steady: bool,
    /// The last three pauses, the latest last: when each ended and how long it was, s.
    pauses: [(f64, f64); 3],
    /// When readings last came late, as who waits for them saw it, and by how much, s.
    late: (f64, f64),
}

impl Cadence {
    /// Of a channel of which nothing was read. A probe of a wash that sends each quarter of an hour
    /// is none that a person types.
    #[must_use]
    pub fn of(sensor: impl Into<Sensor>) -> Self {
        let sensor = sensor.into();
        let watches = match sensor {
            Sensor::Still(probe) => {
                matches!(probe, Probe::CoolantFlow | Probe::CoolantOut | Probe::Vent)
            }
            Sensor::Wash(_) => false,
        };
        Self { slow: matches!(sensor, Sensor::Wash(_)), watches, ..Self::default() }
    }

    /// The same where it is known how often it is read, s.
    #[must_use]
    pub const fn stated(self, every_s: Option<f64>) -> Self {
        Self { stated_s: every_s, ..self }
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
            self.pauses = [self.pauses[1], self.pauses[2], (time_s, passed_s)];
        }
        let oldest_s = std::mem::replace(&mut self.gaps[self.count % GAPS_MAX], passed_s);
        let as_before = self.count >= GAPS_MAX && oldest_s == passed_s;
        self.count = self.count.wrapping_add(1).max(1);
        // A regular feeder's intervals are the same eight again.
        if as_before {
            return Some(gap);
        }
        let mut gaps = self.gaps;
        let gaps = &mut gaps[..self.count.min(GAPS_MAX)];
        self.usual_s = median(gaps);
        self.steady = self.usual_s.is_some_and(|usual_s| are_steady(gaps, usual_s));
        Some(gap)
    }

    /// Whether it is read as seldom as a person types.
    #[must_use]
    pub fn typed(&self) -> bool {
        self.usual_s.is_none_or(|gap| gap > TYPED_GAP_S)
    }

    /// Whether a feeder reads it, fast or slow.
    #[must_use]
    pub fn fed(&self) -> bool {
        !self.typed() || self.steady
    }

    /// A reading came so late, s: sent together with others, as a feeder does that sends each minute
    /// what it read meanwhile. No feeder is slower than one that is typed: what comes later than that
    /// is a backlog, told once, and says nothing of how late the next will come.
    pub fn came_late(&mut self, late_s: f64) {
        if late_s <= TYPED_GAP_S {
            self.expect_late(late_s);
        }
    }

    /// Readings come so late again and again, s.
    pub fn expect_late(&mut self, late_s: f64) {
        let Some(last_s) = self.last_s else { return };
        if late_s >= self.late_s() && late_s <= LIVE_MOST_S {
            self.late = (last_s, late_s);
        }
    }

    /// How late readings must be reckoned with, s.
    fn late_s(&self) -> f64 {
        if self.late.1 == 0.0 {
            return 0.0;
        }
        let passed_s = self.last_s.map_or(0.0, |last_s| (last_s - self.late.0).max(0.0));
        self.late.1 * 0.5_f64.powf(passed_s / LATE_HALVES_S)
    }

    /// From one time to the next that anything of it is told, s, as far as that is known.
    #[must_use]
    pub fn told_each_s(&self) -> Option<f64> {
        let known_s = self.usual_s.filter(|_| self.fed()).or(self.stated_s)?;
        Some(known_s.max(self.burst_s()).max(self.late_s()))
    }

    /// Whether it watches the coolant or the vent, and is told too seldom for that.
    #[must_use]
    pub fn too_seldom(&self) -> bool {
        self.watches && self.told_each_s().is_some_and(|each_s| each_s > TYPED_GAP_S)
    }

    /// From one time to the next that anything of it is told, s, where that is too seldom for what it
    /// watches.
    #[must_use]
    pub fn too_seldom_s(&self) -> Option<f64> {
        self.told_each_s().filter(|_| self.too_seldom())
    }

    /// Age at which it is too old, s: by its intervals, by the pauses of one that is read in bursts,
    /// and by how late it comes.
    #[must_use]
    pub fn stale_after_s(&self) -> f64 {
        let lost_s = self.lost_after_s();
        if self.too_seldom() { lost_s.min(WATCH_MOST_S) } else { lost_s }
    }

    /// Age at which whoever reads it does so no more, s: that at which it is too old, but for what is
    /// told too seldom to watch.
    #[must_use]
    pub fn lost_after_s(&self) -> f64 {
        let (bursts_s, late_s) = (self.burst_s(), self.late_s());
        let slow_s = (STALE_READINGS * bursts_s.max(late_s)).min(LIVE_MOST_S);
        self.by_interval_s().max(slow_s)
    }

    /// The pause of a channel that is read in bursts, s; 0 where it is not.
    fn burst_s(&self) -> f64 {
        let [first, one, other] = self.pauses;
        let alike = |(_, one_s): (f64, f64), (_, other_s): (f64, f64)| {
            one_s.min(other_s) > 0.0 && one_s.max(other_s) <= ALIKE * one_s.min(other_s)
        };
        let follow = |(before_s, one_s): (f64, f64), (end_s, other_s): (f64, f64)| {
            end_s - before_s <= BURST_SHARE * one_s.max(other_s)
        };
        let long_s = one.1.max(other.1);
        let twice = alike(one, other) && follow(one, other);
        let thrice = twice && alike(first, one) && follow(first, one);
        let enough = if long_s <= TYPED_GAP_S { twice } else { thrice && long_s <= LIVE_MOST_S };
        let lately = self.last_s.is_some_and(|last_s| last_s - other.0 <= BURST_SHARE * long_s);
        if enough && lately { long_s } else { 0.0 }
    }

    fn by_interval_s(&self) -> f64 {
        let own_s = self.usual_s.filter(|_| self.slow || self.fed());
        // Where it is not known yet, what is stated counts.
        let stated_s = self.stated_s.filter(|_| self.usual_s.is_none());
        match own_s.or(stated_s) {
            Some(gap) if self.slow => {
                (STALE_READINGS * gap).clamp(STALE_LEAST_S, SLOW_STALE_MOST_S)
            }
            None if self.slow => SLOW_STALE_S,
            Some(gap) => (STALE_READINGS * gap).clamp(STALE_LEAST_S, LIVE_MOST_S),
            None => LIVE_MOST_S,
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

    /// Whether it is read no more by what read it.
    #[must_use]
    pub fn lost(&self, now_s: f64) -> bool {
        self.fed() && self.age_s(now_s).is_some_and(|age_s| age_s > self.lost_after_s())
    }
}

/// Whether intervals so long are those of a slow feeder that may have lost readings.
fn are_steady(gaps: &[f64], usual_s: f64) -> bool {
    let near_s = STEADY_S.max(STEADY_SHARE * usual_s);
    let steady = |gap: &&f64| {
        let readings = (**gap / usual_s).round().max(1.0);
        (**gap - readings * usual_s).abs() <= near_s
    };
    (TYPED_GAP_S..=LIVE_MOST_S).contains(&usual_s)
        && gaps.len() >= STEADY_GAPS_MIN
        && gaps.iter().filter(steady).count() + 1 >= gaps.len()
}

#[cfg(test)]
mod tests {
    use super::Cadence;
    use crate::probe::Probe;
    use crate::sensor::WashProbe;

    fn read(times: impl IntoIterator<Item = f64>) -> Cadence {
        let mut cadence = Cadence::default();
        for time_s in times {
            cadence.take(time_s);
        }
        cadence
    }

    #[test]
    fn prop_the_usual_interval_is_the_median_of_the_last_eight() {
        let (mut cadence, mut time_s, mut gaps) = (Cadence::default(), 0.0, Vec::new());
        cadence.take(time_s);
        for row in 0..400_u32 {
            // Long regular stretches, and three intervals that come and go.
            let gap_s = [10.0, 10.0, 11.0, 4.0][(row / 23 * row % 29 % 4) as usize];
            time_s += gap_s;
            gaps.push(gap_s);
            cadence.take(time_s);
            let mut last = gaps[gaps.len().saturating_sub(8)..].to_vec();
            last.sort_by(f64::total_cmp);
            let middle = last.len() / 2;
            let low = if last.len() % 2 == 0 { middle - 1 } else { middle };
            assert_eq!(cadence.usual_s(), Some(0.5 * (last[low] + last[middle])), "{row}");
        }
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
            let mut cadence = Cadence::of(WashProbe::Temperature);
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
        let mut once = Cadence::of(WashProbe::Temperature);
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

    #[test]
    fn a_slow_feeder_is_lost_after_its_own_pace_and_a_person_never() {
        let every = |gap_s: u32| read((0..8).map(move |row| f64::from(gap_s * row)));
        let two = every(120);
        assert!(two.typed() && two.fed() && !two.lost(840.0 + 350.0));
        assert!(two.stale(840.0 + 370.0) && two.lost(840.0 + 370.0));
        let five = every(300);
        assert!(!five.stale(2100.0 + 590.0) && five.lost(2100.0 + 610.0), "never live after 600 s");
        // Its radio takes some seconds, and one reading was lost.
        let radio = read([0.0, 303.0, 601.0, 1204.0, 1503.0, 1806.0]);
        assert!(radio.fed());
        let person = read([0.0, 290.0, 640.0, 905.0, 1260.0, 1500.0, 1830.0]);
        assert!(!person.fed() && !person.lost(9000.0) && person.stale(1830.0 + 601.0));
        assert!(!every(700).fed(), "slower than anything live");
    }

    #[test]
    fn what_watches_the_coolant_must_be_told_oftener() {
        let read = |probe, gap_s: u32| {
            let mut cadence = Cadence::of(probe);
            for row in 0..8 {
                cadence.take(f64::from(gap_s * row));
            }
            cadence
        };
        let (out, head) = (read(Probe::CoolantOut, 300), read(Probe::Head, 300));
        assert!(out.too_seldom() && !head.too_seldom() && !read(Probe::Vent, 60).too_seldom());
        assert!(out.stale(2100.0 + 280.0) && !out.lost(2100.0 + 280.0));
        assert!(!head.stale(2100.0 + 280.0));
        let stated = Cadence::of(Probe::Vent).stated(Some(300.0));
        assert!(stated.too_seldom() && !Cadence::of(Probe::Vent).too_seldom());
        let mut soon = Cadence::of(Probe::Head).stated(Some(2.0));
        soon.take(0.0);
        assert!(!soon.stale(9.0) && soon.stale(11.0), "what is stated counts before it is seen");
    }

    #[test]
    fn bursts_minutes_apart_are_known_at_the_third_pause() {
        let bursts = |count: u32| {
            let of = move |at: u32| (0..5).map(move |s| f64::from(300 * at + s));
            read((0..count).flat_map(of))
        };
        assert!(bursts(3).lost(604.0 + 40.0), "two power cuts are no bursts");
        let known = bursts(4);
        assert!(!known.stale(904.0 + 300.0) && known.lost(904.0 + 610.0));
    }
}
