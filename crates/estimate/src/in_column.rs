//! The thermometer in the column: what it measures, and when it is let go of.
//!
//! It sees the front of weaker vapour rise before the head does. What it errs by is less its noise
//! than the model's: where it sits among stages that nobody counted, and how much they hold. So its
//! place and its offset are unknowns of the fit, and far up the front readings are compared by
//! their logarithm.

use std::ops::Range;

use still::plan::StillKind;
use still::track::Point;

use super::believe::{COLUMN_DRIFT, COLUMN_OFFSET, COLUMN_PLACE, NO_DRIFT};
use super::column_out::{ColumnOut, Why};
use super::fit::Fit;
use super::measured::{BIN_S, Measured, Measurement, thinned};
use super::model::{Model, Unknowns};
use super::problem::unknowns;
use super::rises::{rises, spread_k};
use super::seen::Seen;

/// Spread of one reading over the plateau's temperature, K, model error included, and so many are
/// independent at most: they share the model's error (judgement, see docs/benchmark/column.md).
const COLUMN_K: f64 = 0.5;
const COLUMN_INDEPENDENT: f64 = 3.0;
/// Spread of its rise over an earlier time, K (judgement, as above).
const RISE_K: f64 = 0.4;
/// Readings are compared as they are up to this much over the plateau and by their logarithm beyond,
/// K (judgement: the front of a column is steeper than its place is known).
const FRONT_K: f64 = 0.5;
/// So many readings in a row decide whether it is left out, either way (judgement, as for the head).
const IN_A_ROW: usize = 3;
/// A column is nowhere colder than its head nor hotter than its pot; by more than this two sound
/// thermometers do not disagree, K (judgement: twice what probes as sold are off by).
const OUTSIDE_K: f64 = 2.0;
/// Off by more than this after the fit, as compared, K, it is left out; under the second it counts
/// again (judgement).
const APART_K: f64 = 0.8;
const AGREED_K: f64 = 0.5;
/// Spread of the drift of one that drifts, K/h, and belief before the run that it does (judgement:
/// as for the head, and more often, since nobody looks at it).
const DRIFT_SD: f64 = 0.3;
const DRIFTS: f64 = 0.05;

const fn is_column(measurement: &Measurement) -> bool {
    matches!(measurement, Measurement::Column(..) | Measurement::ColumnRise(..))
}

/// Outside of what head and pot leave room for in the last readings, K.
fn outside(column: &[(f64, f64)], seen: &Seen) -> Option<ColumnOut> {
    let (Some(first), Some(last)) = (column.first(), column.last()) else { return None };
    let span = first.0 - BIN_S..last.0 + BIN_S;
    let near = |rows: &[(f64, f64)], at_s: f64| {
        let rows = rows.iter().filter(|row| span.contains(&row.0));
        let near = rows.min_by(|a, b| (a.0 - at_s).abs().total_cmp(&(b.0 - at_s).abs()));
        near.filter(|row| (row.0 - at_s).abs() <= BIN_S).map(|row| row.1)
    };
    let mut out: Option<ColumnOut> = None;
    let by_k = |&(at_s, celsius): &(f64, f64)| {
        let head_c = near(&seen.head.rows, at_s).filter(|_| seen.head_out.is_none());
        let under = head_c.map_or(0.0, |head_c| (celsius - head_c + OUTSIDE_K).min(0.0));
        let over =
            near(&seen.pot.rows, at_s).map_or(0.0, |pot_c| (celsius - pot_c - OUTSIDE_K).max(0.0));
        if under < 0.0 {
            under - OUTSIDE_K
        } else if over > 0.0 {
            over + OUTSIDE_K
        } else {
            0.0
        }
    };
    let by: Vec<(f64, f64)> = column.iter().map(|row| (row.0, by_k(row))).collect();
    for row in by.windows(IN_A_ROW) {
        let low = row.iter().all(|row| row.1 < 0.0);
        let high = row.iter().all(|row| row.1 > 0.0);
        let last = row[IN_A_ROW - 1];
        if low || high {
            let since_s = out.map_or(last.0, |out| out.since_s);
            out = Some(ColumnOut { since_s, why: Why::Outside(last.1) });
        } else if row.iter().all(|row| row.1 == 0.0) {
            out = None;
        }
    }
    out
}

impl Measured {
    /// Takes what it read from `from_s` on, without the times when nothing boiled.
    pub(super) fn in_column(
        &mut self,
        from_s: f64,
        cold: &[Range<f64>],
        model: &Model<'_>,
        seen: &Seen,
    ) {
        if model.plan.still.kind == StillKind::Pot || seen.column.rows.is_empty() {
            return;
        }
        let mut column = seen.column.clone();
        column.rows.retain(|row| !cold.iter().any(|span| span.contains(&row.0)));
        let read = column.binned(from_s, BIN_S);
        self.column_out = outside(&read, seen);
        if self.column_out.is_some() {
            return;
        }
        let sd = thinned(COLUMN_K, read.len(), COLUMN_INDEPENDENT);
        let whole = |&(s, c): &(f64, f64)| (Measurement::Column(s, c + 273.15), sd);
        self.list.extend(read.iter().map(whole));
        let sd = spread_k(RISE_K, seen);
        let rise = |(s, before_s, k)| (Measurement::ColumnRise(s, before_s, k), sd);
        self.list.extend(rises(&read, model, seen).into_iter().map(rise));
    }

    /// The same without it.
    pub(super) fn without_column(&self) -> Self {
        let list = self.list.iter().filter(|(of, _)| !is_column(of)).copied().collect();
        Self { list, ..self.clone() }
    }

    /// Whether it counts.
    pub(super) fn has_column(&self) -> bool {
        self.list.iter().any(|(of, _)| is_column(of))
    }

    /// Which measurements are its.
    pub(super) fn of_column(&self) -> impl Iterator<Item = usize> {
        let own = self.list.iter().enumerate().filter(|(_, (of, _))| is_column(of));
        own.map(|(place, _)| place)
    }

    fn front(&self, kelvin: f64) -> f64 {
        FRONT_K * ((kelvin - self.plateau_k) / FRONT_K).asinh()
    }

    /// A reading against the simulated column, as compared, K.
    pub(super) fn column_off(&self, at: &Point, kelvin: f64, unknowns: &Unknowns) -> f64 {
        let drift = unknowns[COLUMN_DRIFT] * (at.time_s - self.drift_from_s) / 3600.0;
        let read = kelvin - unknowns[COLUMN_OFFSET] - drift;
        self.front(read) - self.front(at.column_at_k(unknowns[COLUMN_PLACE]))
    }

    /// A rise from the first to the second, as compared, K.
    pub(super) fn column_rise_off(
        &self,
        (before, at): (&Point, &Point),
        kelvin: f64,
        unknowns: &Unknowns,
    ) -> f64 {
        let place = unknowns[COLUMN_PLACE];
        let drift = unknowns[COLUMN_DRIFT] * (at.time_s - before.time_s) / 3600.0;
        let read = before.column_at_k(place) + kelvin - drift;
        self.front(read) - self.front(at.column_at_k(place))
    }

    /// Whether it is to be left out, by a fit to these measurements and what was so before; `all`
    /// are those with it.
    pub(super) fn column_verdict(
        all: &Self,
        model: &Model<'_>,
        fit: &Fit,
        before: Option<ColumnOut>,
    ) -> Option<ColumnOut> {
        if all.column_out.is_some() || before.is_some_and(|out| out.why == Why::Drifts) {
            return all.column_out.or(before);
        }
        let believed = unknowns(model.beliefs, &fit.z);
        let off = |&(of, _): &(Measurement, f64)| match of {
            Measurement::Column(time_s, kelvin) => {
                let at = fit.best.track.at(time_s)?;
                Some((time_s, all.column_off(&at, kelvin, &believed)))
            }
            _ => None,
        };
        let offs: Vec<(f64, f64)> = all.list.iter().filter_map(off).collect();
        let last = offs.get(offs.len().checked_sub(IN_A_ROW)?..)?;
        let bound_k = if before.is_some() { AGREED_K } else { APART_K };
        let apart = |way: f64| last.iter().all(|off| way * off.1 > bound_k);
        let since_s = before.map_or(last[IN_A_ROW - 1].0, |out| out.since_s);
        if apart(1.0) || apart(-1.0) {
            return Some(ColumnOut { since_s, why: Why::Disagrees(last[IN_A_ROW - 1].1) });
        }
        let gain = fit.log_evidence_with(COLUMN_DRIFT, DRIFT_SD / NO_DRIFT) - fit.log_evidence;
        let drifts = before.is_none() && DRIFTS / (1.0 - DRIFTS) * gain.exp() > 1.0;
        drifts.then_some(ColumnOut { since_s: all.drift_from_s, why: Why::Drifts })
    }
}
