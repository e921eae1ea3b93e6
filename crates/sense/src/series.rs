//! Head, pot and the thermometer in the column over a whole record, cleaned by the rules of the reader; a spike is told by the
//! readings on both sides of it, exchanged probes are put back.

use crate::cadence::Cadence;
use crate::came_off::CameOff;
use crate::exchange::Exchange;
use crate::numbers::median;
use crate::probe::Probe;
use crate::quality::Reason;
use crate::refuse::{LastGood, impossible, is_sentinel};
use crate::still_stand::StillStand;

/// Readings on each side of the median that a spike is told by, and how far it stands out, K, and
/// in spreads of its neighbours (judgement).
const SPIKE_SIDE: usize = 3;
const SPIKE_K: f64 = 2.5;
const SPIKE_SPREADS: f64 = 4.0;

/// A row as read, with what else was known at its time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raw {
    /// Run time, s.
    pub time_s: f64,
    /// Head thermometer, °C.
    pub head_c: Option<f64>,
    /// Pot thermometer, °C.
    pub pot_c: Option<f64>,
    /// Thermometer in the column, °C.
    pub column_c: Option<f64>,
    /// How much warmer than at the site's pressure things boil, K.
    pub shift_k: f64,
    /// Heat going in, W.
    pub heat_w: f64,
}

/// One probe over time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    /// Time in s, °C at the site's pressure.
    pub rows: Vec<(f64, f64)>,
    /// Readings that stood far out of their neighbours.
    pub spikes: usize,
    /// Empty cells between readings, and codes.
    pub dropouts: usize,
    /// Since when it stands still, where it does.
    pub stuck_s: Option<f64>,
    /// When it was last read off its place, s.
    pub came_off_s: Option<f64>,
    /// First spike or dropout, s.
    pub first_bad_s: Option<f64>,
    /// Whether it was found under the other probe's name.
    pub swapped: bool,
}

/// A reading that passed: time, value, pressure shift.
type Good = (f64, f64, f64);

/// Head and pot, cleaned; `pot_still` says which kind of still it is.
#[must_use]
pub fn series(raw: &[Raw], pot_still: bool) -> (Series, Series) {
    let head_of = |row: &Raw| row.head_c;
    let pot_of = |row: &Raw| row.pot_c;
    let own = (
        Series::of(raw, head_of, Probe::Head, pot_still),
        Series::of(raw, pot_of, Probe::Pot, pot_still),
    );
    if !exchanged(&own.0, &own.1) {
        return own;
    }
    let mut head = Series::of(raw, pot_of, Probe::Head, pot_still);
    let mut pot = Series::of(raw, head_of, Probe::Pot, pot_still);
    head.swapped = true;
    pot.swapped = true;
    (head, pot)
}

/// The thermometer in the column of a column still, cleaned; empty where it was never read.
#[must_use]
pub fn column_series(raw: &[Raw]) -> Series {
    if raw.iter().all(|row| row.column_c.is_none()) {
        return Series::default();
    }
    Series::of(raw, |row| row.column_c, Probe::Column, false)
}

/// Whether the two probes carry each other's name.
fn exchanged(head: &Series, pot: &Series) -> bool {
    let mut exchange = Exchange::default();
    let mut pot_rows = pot.rows.iter().peekable();
    for &(time_s, head_c) in &head.rows {
        while pot_rows.next_if(|row| row.0 < time_s).is_some() {}
        if let Some(&&(at, pot_c)) = pot_rows.peek()
            && at == time_s
        {
            exchange.take(head_c, pot_c);
        }
    }
    exchange.ever()
}

/// Whether a reading is a spike among its neighbours and itself.
fn stands_out(value: f64, near: &[Good]) -> bool {
    let highest = near.iter().map(|row| row.1).fold(f64::NEG_INFINITY, f64::max);
    let lowest = near.iter().map(|row| row.1).fold(f64::INFINITY, f64::min);
    // No median is farther from any of them.
    if highest - lowest <= SPIKE_K {
        return false;
    }
    let mut values = [0.0; 2 * SPIKE_SIDE + 1];
    let values = &mut values[..near.len()];
    values.iter_mut().zip(near).for_each(|(value, row)| *value = row.1);
    let middle = median(values).unwrap_or(f64::NAN);
    for value in &mut *values {
        *value = (*value - middle).abs();
    }
    let spread = median(values).unwrap_or(0.0);
    (value - middle).abs() > SPIKE_K + SPIKE_SPREADS * spread
}

impl Series {
    fn of(raw: &[Raw], cell: fn(&Raw) -> Option<f64>, probe: Probe, pot_still: bool) -> Self {
        let mut series = Self::default();
        let good = series.possible(raw, cell, probe);
        series.take_out_spikes(&good);
        series.take_out_stuck(&good, probe, pot_still);
        series
    }

    /// What of a column can be true by itself and in its place.
    fn possible(&mut self, raw: &[Raw], cell: fn(&Raw) -> Option<f64>, probe: Probe) -> Vec<Good> {
        let mut good: Vec<Good> = Vec::new();
        let mut last: Option<LastGood> = None;
        let mut place = CameOff::new(probe);
        let read = raw.iter().filter(|row| cell(row).is_some()).count();
        // A probe that is read less often than the others has empty cells between.
        let often = read * 2 >= raw.len();
        for row in raw {
            let refused = match cell(row) {
                None => often.then_some(Reason::NotANumber),
                Some(value) => impossible(probe, row.time_s, value, last).or_else(|| {
                    let off = place.take(row.time_s, value, row.heat_w);
                    off.then_some(Reason::CameOff(value))
                }),
            };
            match (refused, cell(row)) {
                (Some(Reason::CameOff(_)), _) => self.came_off_s = Some(row.time_s),
                (Some(_), _) => {
                    self.dropouts += 1;
                    self.first_bad_s.get_or_insert(row.time_s);
                }
                (None, Some(value)) => {
                    last = Some(LastGood::after(last, row.time_s, value));
                    good.push((row.time_s, value, row.shift_k));
                }
                (None, None) => {}
            }
        }
        good
    }

    fn take_out_spikes(&mut self, good: &[Good]) {
        for (at, &(time_s, value, shift_k)) in good.iter().enumerate() {
            let low = at.saturating_sub(SPIKE_SIDE);
            let high = (at + SPIKE_SIDE + 1).min(good.len());
            if stands_out(value, &good[low..high]) {
                self.spikes += 1;
                self.first_bad_s.get_or_insert(time_s);
            } else {
                self.rows.push((time_s, value - shift_k));
            }
        }
    }

    /// Takes out every stretch of the same digits that is too long for a still that boils.
    fn take_out_stuck(&mut self, good: &[Good], probe: Probe, pot_still: bool) {
        let mut cadence = Cadence::default();
        let mut same = StillStand::default();
        let mut stuck: Vec<StillStand> = Vec::new();
        for &(time_s, value, _) in good {
            let Some(gap) = cadence.take(time_s) else { continue };
            same.take(time_s, value, gap, false);
            let sentinel = is_sentinel(probe, value) && same.stands_on(value);
            if sentinel || same.stuck(probe, pot_still) {
                if stuck.last().is_some_and(|last| last.times().0 >= same.times().0) {
                    stuck.pop();
                }
                stuck.push(same);
            }
        }
        self.stuck_s = stuck.first().map(|stretch| stretch.times().0);
        self.rows.retain(|row| !stuck.iter().any(|s| row.0 >= s.times().0 && row.0 <= s.times().1));
    }

    /// Whether it came off and has not been read in its place since.
    #[must_use]
    pub fn is_off(&self) -> bool {
        let last_s = self.rows.last().map_or(0.0, |row| row.0);
        self.came_off_s.is_some_and(|off_s| off_s > last_s)
    }

    /// Medians of bins of `width_s` from `from_s` on: middle of the bin, °C.
    #[must_use]
    pub fn binned(&self, from_s: f64, width_s: f64) -> Vec<(f64, f64)> {
        let mut bins = Vec::new();
        let mut values: Vec<f64> = Vec::new();
        let (mut bin, mut times) = (0_u64, 0.0);
        for &(time_s, value) in self.rows.iter().filter(|row| row.0 >= from_s) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
            let here = ((time_s - from_s) / width_s) as u64;
            if here != bin && !values.is_empty() {
                bins.extend(median(&mut values).map(|m| (times / values.len() as f64, m)));
                values.clear();
                times = 0.0;
            }
            bin = here;
            times += time_s;
            values.push(value);
        }
        if values.len() >= 3 {
            bins.extend(median(&mut values).map(|m| (times / values.len() as f64, m)));
        }
        bins
    }
}
