//! Probes as read, made fit to be believed: codes and spikes left out, exchanged probes put back.

/// Temperatures that can be read on a still, °C.
const POSSIBLE_C: std::ops::RangeInclusive<f64> = -10.0..=125.0;
/// So many readings in a row at least: a few far apart can well be alike.
const STUCK_READINGS: usize = 25;
/// Head and pot this far apart tell which is which, K.
const TELLING_K: f64 = 4.0;
/// A probe colder than this is not in a still that boils, °C.
const BOILING_C: f64 = 50.0;
/// Readings on each side of the median that a spike is told by, and how far it stands out, K.
const SPIKE_SIDE: usize = 3;
const SPIKE_K: f64 = 2.5;
/// A probe that gives the same digits for this long while the still boils is stuck, s: the head of
/// a column stands still by itself on its plateau, any other moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct StuckAfter {
    pub(super) head_s: f64,
    pub(super) pot_s: f64,
}

impl StuckAfter {
    pub(super) const POT_STILL: Self = Self { head_s: 660.0, pot_s: 900.0 };
    pub(super) const COLUMN: Self = Self { head_s: 2100.0, pot_s: 1200.0 };
}

/// One probe over time.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Series {
    /// Time in s, °C at the site's pressure.
    pub(super) rows: Vec<(f64, f64)>,
    /// Readings that stood far out of their neighbours.
    pub(super) spikes: usize,
    /// Empty cells between readings, and codes.
    pub(super) dropouts: usize,
    /// Since when it stands still, where it does.
    pub(super) stuck_s: Option<f64>,
    /// First spike or dropout, s.
    pub(super) first_bad_s: Option<f64>,
    /// Whether it was found under the other probe's name.
    pub(super) swapped: bool,
}

impl Series {
    /// Takes out every stretch of the same digits that is too long for a still that boils.
    fn take_out_stuck(&mut self, good: &[(f64, f64, f64)], stuck_after_s: f64) {
        let mut from = 0;
        for at in 1..=good.len() {
            if at < good.len() && good[at].1 == good[from].1 {
                continue;
            }
            let (first_s, last_s) = (good[from].0, good[at - 1].0);
            let enough = at - from >= STUCK_READINGS;
            if enough && last_s - first_s >= stuck_after_s && good[from].1 > BOILING_C {
                self.stuck_s.get_or_insert(first_s);
                self.rows.retain(|row| row.0 < first_s || row.0 > last_s);
            }
            from = at;
        }
    }

    /// Medians of bins of `width_s` from `from_s` on: middle of the bin, °C.
    pub(super) fn binned(&self, from_s: f64, width_s: f64) -> Vec<(f64, f64)> {
        let mut bins = Vec::new();
        let mut values: Vec<f64> = Vec::new();
        let (mut bin, mut times) = (0_u64, 0.0);
        for &(time_s, value) in self.rows.iter().filter(|row| row.0 >= from_s) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
            let here = ((time_s - from_s) / width_s) as u64;
            if here != bin && !values.is_empty() {
                bins.push((times / values.len() as f64, median(&mut values)));
                values.clear();
                times = 0.0;
            }
            bin = here;
            times += time_s;
            values.push(value);
        }
        if values.len() >= 3 {
            bins.push((times / values.len() as f64, median(&mut values)));
        }
        bins
    }
}

pub(super) fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n == 0 { f64::NAN } else { 0.5 * (values[n / 2] + values[(n - 1) / 2]) }
}

/// A row as read: time, value, pressure shift.
type Raw = (f64, Option<f64>, f64);

/// Head and pot, cleaned.
pub(super) fn clean(head: &[Raw], pot: &[Raw], stuck: StuckAfter) -> (Series, Series) {
    let own = (one(head, stuck.head_s), one(pot, stuck.pot_s));
    if !exchanged(&own.0, &own.1) {
        return own;
    }
    let (mut head, mut pot) = (one(pot, stuck.head_s), one(head, stuck.pot_s));
    head.swapped = true;
    pot.swapped = true;
    (head, pot)
}

/// Codes that sensors give when they are not read: power-on and error values.
fn is_code(value: f64) -> bool {
    !POSSIBLE_C.contains(&value) || value == 85.0
}

fn one(raw: &[Raw], stuck_after_s: f64) -> Series {
    let mut series = Series::default();
    let mut good: Vec<(f64, f64, f64)> = Vec::new();
    let read = raw.iter().filter(|row| row.1.is_some()).count();
    for &(time_s, value, shift) in raw {
        let neighbour = good.last().map(|row| row.1);
        match value {
            Some(value) if !is_code(value) => good.push((time_s, value, shift)),
            // 85.0 between readings near 85 is a temperature.
            Some(value) if value == 85.0 && neighbour.is_some_and(|n| (n - value).abs() < 1.5) => {
                good.push((time_s, value, shift));
            }
            None if read * 2 < raw.len() => {}
            _ => {
                series.dropouts += 1;
                series.first_bad_s.get_or_insert(time_s);
            }
        }
    }
    for at in 0..good.len() {
        let low = at.saturating_sub(SPIKE_SIDE);
        let high = (at + SPIKE_SIDE + 1).min(good.len());
        let mut near: Vec<f64> = good[low..high].iter().map(|row| row.1).collect();
        let middle = median(&mut near);
        let mut apart: Vec<f64> = near.iter().map(|value| (value - middle).abs()).collect();
        let spread = median(&mut apart);
        if (good[at].1 - middle).abs() > SPIKE_K + 4.0 * spread {
            series.spikes += 1;
            series.first_bad_s.get_or_insert(good[at].0);
        } else {
            series.rows.push((good[at].0, good[at].1 - good[at].2));
        }
    }
    series.take_out_stuck(&good, stuck_after_s);
    series
}

/// Whether the two probes carry each other's name: while it heats up the pot is hot and the head
/// cold, and in the boil the pot is never colder. Only pairs that are far apart tell.
fn exchanged(head: &Series, pot: &Series) -> bool {
    let mut pairs = 0;
    let mut colder = 0;
    let mut pot_rows = pot.rows.iter().peekable();
    for &(time_s, head_c) in &head.rows {
        while pot_rows.next_if(|row| row.0 < time_s).is_some() {}
        if let Some(&&(at, pot_c)) = pot_rows.peek()
            && at == time_s
            && (pot_c - head_c).abs() > TELLING_K
        {
            pairs += 1;
            colder += usize::from(pot_c < head_c);
        }
    }
    pairs >= 20 && colder * 10 > pairs * 8
}
