//! The measurements of a run against a simulated one: weighted residuals.
//!
//! Measurements that repeat each other (a head on its plateau every few minutes) share one model
//! error, so they are weighted as so many fewer.

use still::plan::{StepKind, StillKind};

use super::believe::{COOLANT, DRIFT, GLASS, HEAD_OFFSET, POT_OFFSET, VALVE};
use super::column_out::ColumnOut;
use super::model::{Model, Simulated, Unknowns};
use super::seen::Seen;
use super::spans::unheated;
use sense::coolant::{HeatOf, heat_of};
use sense::numbers::median;
use still::track::Point;

/// Width over which head and pot are averaged, s.
pub(super) const BIN_S: f64 = 300.0;
/// So many measurements of one probe are independent at most.
const HEAD_INDEPENDENT: f64 = 6.0;
/// A boiling pot's temperature is what runs over; a column's pot shares the error of a stated
/// strength and of a probe near an element.
const POT_INDEPENDENT: f64 = 8.0;
/// Judgement, picked among three while looking at the scores of 180 simulated runs.
const COLUMN_POT_INDEPENDENT: f64 = 6.0;
const JARS_INDEPENDENT: f64 = 12.0;
const RATES_INDEPENDENT: f64 = 6.0;
const JAR_RATES_INDEPENDENT: f64 = 10.0;
/// Jars are stamped to about this, both ends together, s.
const STAMP_S: f64 = 4.0;
/// Spread of one measurement, model error included.
const HEAD_K: f64 = 0.15;
const POT_HEAD_K: f64 = 0.3;
const POT_K: f64 = 0.15;
const JAR_VOL: f64 = 0.3;
const JAR_VOLUME: f64 = 0.015;
const JAR_VOLUME_L: f64 = 0.006;
const RATE: f64 = 0.035;
const DUTY: f64 = 0.04;
const BOIL: f64 = 0.03;
const BOIL_S: f64 = 60.0;
/// A simulated run may boil so much later than the real one and is still followed there, s
/// (judgement).
const BOILS_LATE_S: f64 = 3600.0;
/// Residual of a measurement that the simulated run does not reach, in its spreads (judgement: no
/// explanation is worth having without it).
const UNREACHED: f64 = 4.0;
/// The vapour of a pot is colder than simulated by the light congeners that nobody states
/// (methanol among them): half of what 2 g of them in a litre of charge do.
const POT_HEAD_BIAS_K: f64 = -0.25;
/// A thermometer in a column reads low by what its stem and its place in the stream cost it (common
/// practice, no source for the figure; how much differs from still to still).
const COLUMN_HEAD_BIAS_K: f64 = -0.13;
/// A thermometer in its pocket shows the first vapour so much late, s: lags of 30 to 120 s are
/// common practice, no source.
const VAPOUR_LAG_S: f64 = 80.0;
/// A thermometer lags its vapour; after this it is warm, s.
const PROBE_WARM_S: f64 = 420.0;
/// A simulated heat counts as no less than this, so that a ratio to it stays finite, W.
const HEAT_LEAST_W: f64 = 10.0;
/// Rises of the head are compared as they are up to this and by their logarithm beyond, K: the
/// knee is so steep that a minute there is a kelvin.
const KNEE_K: f64 = 0.4;
/// Head of a plateau against the site's pressure, from which rises are counted, °C at 1013 hPa.
const PLATEAU_K: f64 = 351.3;

/// One measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Measurement {
    /// Vapour at the head, s.
    Vapour(f64),
    /// Head at a time, K.
    Head(f64, f64),
    /// Head at a time over the head at an earlier one, K: both times, rise.
    Rise(f64, f64, f64),
    /// Column at its thermometer at a time, K.
    Column(f64, f64),
    /// The same over an earlier time, K: both times, rise.
    ColumnRise(f64, f64, f64),
    /// Pot at a time, K.
    Pot(f64, f64),
    /// Strength of a jar, from, to, % vol.
    Glass(f64, f64, f64),
    /// Litres of a jar of a pot, from, to.
    Jar(f64, f64, f64),
    /// Rate at a reflux ratio: from, to, L/s, ratio.
    Rate(f64, f64, f64, f64),
    /// Heat in the coolant: from, to, W.
    Duty(f64, f64, f64),
}

impl Measurement {
    /// When it was complete, s.
    pub(super) const fn time_s(&self) -> f64 {
        match *self {
            Self::Vapour(time_s)
            | Self::Head(time_s, _)
            | Self::Rise(time_s, ..)
            | Self::Column(time_s, _)
            | Self::ColumnRise(time_s, ..)
            | Self::Pot(time_s, _)
            | Self::Glass(_, time_s, _)
            | Self::Jar(_, time_s, _)
            | Self::Rate(_, time_s, ..)
            | Self::Duty(_, time_s, _) => time_s,
        }
    }
}

/// All measurements of a run with their spread.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Measured {
    pub(super) list: Vec<(Measurement, f64)>,
    /// Head plateau at the site's pressure, K.
    pub(super) plateau_k: f64,
    pub(super) pot: bool,
    pub(super) drift_from_s: f64,
    /// Why the thermometer in the column is left out, where it is.
    pub(super) column_out: Option<ColumnOut>,
    /// Whose heat the coolant takes up.
    pub(super) coolant: HeatOf,
    /// Share of what is drawn that never reaches the jar.
    pub(super) vapour_lost: f64,
}

/// Spread of each of `count` measurements that count as at most `independent`.
pub(super) fn thinned(sd: f64, count: usize, independent: f64) -> f64 {
    sd * (count as f64 / independent).max(1.0).sqrt()
}

impl Measured {
    pub(super) fn of(model: &Model<'_>, seen: &Seen) -> Self {
        let plan = model.plan;
        let pot = plan.still.kind == StillKind::Pot;
        let shift = (plan.site.pressure_hpa - 1013.25) * 0.0272;
        let mut measured = Self {
            pot,
            plateau_k: PLATEAU_K + shift,
            drift_from_s: model.inputs.past.hearts_s.unwrap_or(seen.now_s),
            vapour_lost: plan.still.vapour_lost.unwrap_or(0.0),
            ..Self::default()
        };
        if let Some(vapour_s) = seen.vapour_s {
            measured.list.push((Measurement::Vapour(vapour_s), BOIL_S.hypot(BOIL * vapour_s)));
        }
        measured.probes(model, seen);
        measured.jars(seen, model);
        measured
    }

    fn probes(&mut self, model: &Model<'_>, seen: &Seen) {
        let drawn_s = model
            .plan
            .steps
            .iter()
            .position(|step| step.kind.draws())
            .and_then(|first| seen.steps.iter().find(|step| step.1 >= first))
            .map_or(f64::INFINITY, |step| step.0);
        // Light heads hold the head of a column down until hearts; a pot's is read from heads on.
        let head_s = if self.pot { drawn_s } else { model.inputs.past.hearts_s.unwrap_or(1e12) };
        let warm_s = seen.vapour_s.map_or(0.0, |vapour_s| vapour_s + PROBE_WARM_S);
        // Without heat no vapour reaches the head, and for a while after it.
        let cold = unheated(&model.inputs.past.spans, PROBE_WARM_S);
        let mut head = seen.head.clone();
        head.rows.retain(|row| !cold.iter().any(|span| span.contains(&row.0)));
        let heads = head.binned(head_s.max(warm_s), BIN_S);
        let sd = thinned(if self.pot { POT_HEAD_K } else { HEAD_K }, heads.len(), HEAD_INDEPENDENT);
        // A head that the jars speak against is left out; one offset leaves its rises true.
        if seen.head_out.is_none() {
            self.list.extend(heads.iter().map(|&(s, c)| (Measurement::Head(s, c + 273.15), sd)));
        }
        if seen.head_out.is_none_or(|out| out.steady) {
            self.head_rises(&heads, model, seen);
        }
        self.in_column(head_s.max(warm_s), &cold, model, seen);
        if let Some(vapour_s) = seen.vapour_s {
            let pots = seen.pot.binned(vapour_s + 300.0, BIN_S);
            let independent = if self.pot { POT_INDEPENDENT } else { COLUMN_POT_INDEPENDENT };
            let sd = thinned(POT_K, pots.len(), independent);
            self.list.extend(pots.iter().map(|&(s, c)| (Measurement::Pot(s, c + 273.15), sd)));
        }
        if drawn_s.is_finite() {
            let mut duties = Vec::new();
            let mut from_s = drawn_s;
            while from_s + 900.0 <= seen.now_s {
                let inside = |row: &&(f64, f64)| row.0 >= from_s && row.0 < from_s + 900.0;
                let mut read: Vec<f64> = seen.duty.iter().filter(inside).map(|r| r.1).collect();
                if read.len() >= 10 {
                    duties.extend(median(&mut read).map(|watts| (from_s, watts)));
                }
                from_s += 900.0;
            }
            let sd = thinned(DUTY, duties.len(), RATES_INDEPENDENT);
            let duties = duties.iter().filter(|duty| duty.1 > 50.0);
            self.list.extend(duties.map(|&(s, w)| (Measurement::Duty(s, s + 900.0, w), sd)));
        }
    }

    /// The measured rates against a simulated run: when each began, ln of measured over simulated,
    /// spread.
    pub(super) fn rates(
        &self,
        simulated: &Simulated,
        unknowns: &Unknowns,
    ) -> impl Iterator<Item = (f64, f64, f64)> {
        self.list.iter().filter_map(|(of, sd)| match *of {
            Measurement::Jar(from_s, ..)
            | Measurement::Rate(from_s, ..)
            | Measurement::Duty(from_s, ..) => {
                Some((from_s, self.difference(of, simulated, unknowns)?, *sd))
            }
            _ => None,
        })
    }

    /// Whether the coolant was measured.
    pub(super) fn has_coolant(&self) -> bool {
        self.list.iter().any(|(measurement, _)| matches!(measurement, Measurement::Duty(..)))
    }

    /// Holds the coolant's heat against a simulated still: heat that is neither that of all the
    /// vapour nor that of the reflux is left out.
    pub(super) fn hold_coolant(&mut self, simulated: &Simulated) {
        let over = |heat_w: &dyn Fn(&Point) -> Option<f64>| {
            let ratio = |(measurement, _): &(Measurement, f64)| match *measurement {
                Measurement::Duty(from_s, to_s, watts) => {
                    let at = simulated.track.at(0.5 * (from_s + to_s))?;
                    Some(watts / heat_w(&at)?.max(HEAT_LEAST_W))
                }
                _ => None,
            };
            median(&mut self.list.iter().filter_map(ratio).collect::<Vec<f64>>())
        };
        let of_vapour = over(&|at| Some(at.duty_w));
        let of_reflux = over(&|at| at.reflux_duty_w(self.vapour_lost));
        let Some((vapour, reflux)) = of_vapour.zip(of_reflux) else { return };
        self.coolant = heat_of(vapour, reflux);
        if self.coolant == HeatOf::Neither {
            self.list.retain(|(measurement, _)| !matches!(measurement, Measurement::Duty(..)));
        }
    }

    fn jars(&mut self, seen: &Seen, model: &Model<'_>) {
        let late = |jar: &&super::seen::SeenJar| jar.cut != StepKind::Foreshots;
        let gauged = seen.jars.iter().filter(late).filter(|jar| jar.strength_vol.is_some());
        let count = gauged.clone().count();
        let sd = thinned(JAR_VOL, count, JARS_INDEPENDENT);
        self.list.extend(gauged.filter_map(|jar| {
            Some((Measurement::Glass(jar.start_s, jar.end_s, jar.strength_vol?), sd))
        }));
        if self.pot {
            let whole = seen.volumes().filter(|jar| jar.end_s - jar.start_s > 60.0);
            let count = whole.clone().count();
            for jar in whole {
                // Stamps of five seconds and the edge of the jug.
                let own = JAR_VOLUME.hypot(JAR_VOLUME_L / jar.litres);
                let own = own.hypot(STAMP_S / (jar.end_s - jar.start_s));
                let sd = thinned(own, count, JAR_RATES_INDEPENDENT);
                self.list.push((Measurement::Jar(jar.start_s, jar.end_s, jar.litres), sd));
            }
        }
        let sd = thinned(RATE, model.inputs.ratios.len(), RATES_INDEPENDENT);
        for &(from_s, to_s, rate, ratio) in &model.inputs.ratios {
            self.list.push((Measurement::Rate(from_s, to_s, rate, ratio), sd));
        }
    }

    /// The measurements of the first part of the time measured, and until when a run must be
    /// simulated for them, s.
    pub(super) fn first_part(&self, share: f64) -> (Self, f64) {
        let times = || self.list.iter().map(|(measurement, _)| measurement.time_s());
        let (first_s, last_s) =
            times().fold((f64::INFINITY, 0.0_f64), |(a, b), t| (a.min(t), b.max(t)));
        let until_s = first_s + share * (last_s - first_s);
        let list = self.list.iter().filter(|(measurement, _)| measurement.time_s() <= until_s);
        let part = Self { list: list.copied().collect(), ..self.clone() };
        (part, until_s.max(first_s + BOILS_LATE_S))
    }

    /// Weighted residuals: measured less simulated over the spread. A measurement that the
    /// simulated run does not reach is a large residual: else a still that never boils would
    /// explain everything.
    pub(super) fn residuals(&self, simulated: &Simulated, unknowns: &Unknowns) -> Vec<f64> {
        // How late its vapour comes is told by the vapour: what was read before that tells nothing.
        let first_s = simulated.track.points.first().map(|point| point.time_s);
        let early = |of: &Measurement| first_s.is_some_and(|first_s| of.time_s() < first_s);
        let residual = |(of, sd): &(Measurement, f64)| {
            let difference = self.difference(of, simulated, unknowns);
            let without = if early(of) { 0.0 } else { UNREACHED };
            difference.map_or(without, |difference| difference / sd)
        };
        self.list.iter().map(residual).collect()
    }

    /// How the head reads against the simulated vapour, its own offset apart, K.
    pub(super) fn head_bias_k(&self) -> f64 {
        if self.pot { POT_HEAD_BIAS_K } else { COLUMN_HEAD_BIAS_K }
    }

    fn squeeze(&self, kelvin: f64) -> f64 {
        if self.pot {
            return kelvin;
        }
        KNEE_K * ((kelvin - self.plateau_k) / KNEE_K).asinh()
    }

    fn difference(
        &self,
        measurement: &Measurement,
        simulated: &Simulated,
        unknowns: &Unknowns,
    ) -> Option<f64> {
        let track = &simulated.track;
        Some(match *measurement {
            Measurement::Vapour(seen_s) => seen_s - VAPOUR_LAG_S - track.head_jump_s?,
            Measurement::Head(time_s, kelvin) => {
                let drift = unknowns[DRIFT] * (time_s - self.drift_from_s) / 3600.0;
                let read = kelvin - unknowns[HEAD_OFFSET] - drift - self.head_bias_k();
                self.squeeze(read) - self.squeeze(track.at(time_s)?.head_k)
            }
            Measurement::Rise(time_s, before_s, kelvin) => {
                let drift = unknowns[DRIFT] * (time_s - before_s) / 3600.0;
                let before_k = track.at(before_s)?.head_k;
                self.squeeze(before_k + kelvin - drift) - self.squeeze(track.at(time_s)?.head_k)
            }
            Measurement::Column(time_s, kelvin) => {
                self.column_off(&track.at(time_s)?, kelvin, unknowns)
            }
            Measurement::ColumnRise(time_s, before_s, kelvin) => {
                let (before, at) = (track.at(before_s)?, track.at(time_s)?);
                self.column_rise_off((&before, &at), kelvin, unknowns)
            }
            Measurement::Pot(time_s, kelvin) => {
                kelvin - unknowns[POT_OFFSET] - track.at(time_s)?.pot_k
            }
            Measurement::Glass(from_s, to_s, vol) => {
                let (low, high) = (track.at(from_s)?, track.at(to_s)?);
                let drawn = high.drawn_since(&low);
                let strength =
                    if drawn.litres_20c > 1e-4 { drawn.strength() } else { high.drum_vol() };
                vol - unknowns[GLASS] - strength
            }
            Measurement::Jar(from_s, to_s, litres) => {
                // A jar that was open before the simulated head was full is compared by its rate.
                let first = track.points.first()?;
                let low = track.at(from_s).unwrap_or(*first);
                let simulated = track.at(to_s)?.drawn_since(&low).litres_20c;
                let share = (to_s - low.time_s) / (to_s - from_s);
                if share < 0.4 {
                    return None;
                }
                (litres * share / simulated.max(1e-6)).ln()
            }
            Measurement::Rate(from_s, to_s, rate, ratio) => {
                let at = track.at(0.5 * (from_s + to_s))?;
                let litres_per_mol = alcoholometry::kernel::litres_20c(at.drum_x, 1.0 - at.drum_x);
                let kept = 1.0 - self.vapour_lost;
                let model = kept * at.vapour_mol_s * litres_per_mol / (ratio + 1.0);
                let valve = if self.pot { 0.0 } else { unknowns[VALVE] };
                (rate / model.max(1e-9)).ln() - valve
            }
            Measurement::Duty(from_s, to_s, watts) => {
                let at = track.at(0.5 * (from_s + to_s))?;
                let heat_w = match self.coolant {
                    HeatOf::Reflux => at.reflux_duty_w(self.vapour_lost)?,
                    HeatOf::Vapour | HeatOf::Neither => at.duty_w,
                };
                (watts / heat_w.max(HEAT_LEAST_W)).ln() - unknowns[COOLANT]
            }
        })
    }
}
