//! One finished run as a calibration takes it: what was done, what was measured, how it compares.

use sense::coolant::{HeatOf, heat_of};
use sense::{HEATER_OFF_W, jar};
use still::plan::TakeOff;
use still::track::{Point, Span};

use super::super::seen::Seen;
use super::drawn::Drawn;
use super::error::CalibrateError;
use super::evidence::{Evidence, Jar, heat_w};
use super::inputs::spans;
use super::model::{LONGER, Simulated, Simulation};
use super::outcome::{Compared, FinishedRun, Residue, Worth};

/// Jars that a run must have.
const JARS_LEAST: usize = 3;
/// A jar that took less than this is too short against its stamps, s.
const JAR_LEAST_S: f64 = 30.0;
/// A probe that stands farther than this from the still that fits the jars is let go of, K: the
/// head below a partial condenser, a bulb out of the vapour.
const PROBE_OFF_K: f64 = 1.0;
/// Width over which probes are thinned, and the coolant, s.
const BIN_S: f64 = 600.0;
const COOLANT_BIN_S: f64 = 1800.0;
/// A simulated run is known at least this often, s: a jar's strength is then good to 0.1 % vol.
const MARK_S: f64 = 600.0;
/// Slices of the volume by which strengths are compared.
const SLICES: usize = 14;

/// The run.
#[derive(Debug, Clone)]
pub(super) struct Run<'a> {
    pub(super) simulation: Simulation<'a>,
    /// What counts; probes only once they were held against the jars.
    pub(super) evidence: Evidence,
    /// Head, pot and coolant as read.
    head: Vec<(f64, f64)>,
    pot: Vec<(f64, f64)>,
    coolant: Vec<(f64, f64)>,
    pub(super) worth: [Worth; 4],
}

impl<'a> Run<'a> {
    /// Takes a run in; `number` counts from 1, for what is said of it.
    pub(super) fn of(given: &FinishedRun<'a>, number: usize) -> Result<Self, CalibrateError> {
        given.plan.check()?;
        let seen = Seen::of(given.plan, given.rows, given.rows.last_s());
        let jars = jars(given);
        let (Some(first), Some(last)) = (jars.first(), jars.last()) else {
            return Err(CalibrateError::Jars { run: number, got: 0, least: JARS_LEAST });
        };
        if jars.len() < JARS_LEAST {
            return Err(CalibrateError::Jars { run: number, got: jars.len(), least: JARS_LEAST });
        }
        check_residue(given, number)?;
        let drawn_s = (first.start_s, last.end_s);
        let mut spans = spans(given.plan, &seen);
        spans.retain(|span| span.start_s < drawn_s.1);
        // What was closed or turned off at the end would keep a slow still from ever getting there.
        let idle = |span: &Span| span.take_off == TakeOff::Closed || span.heater_w <= HEATER_OFF_W;
        while spans.len() > 1 && spans.last().is_some_and(idle) {
            spans.pop();
        }
        let opened = spans.iter().find(|span| span.take_off != TakeOff::Closed);
        let opened_s = opened.map(|span| span.start_s).filter(|time_s| *time_s > 0.0);
        let spans = often(&spans, drawn_s.0, drawn_s.1 + LONGER * (drawn_s.1 - drawn_s.0));
        let vapour_s = [seen.vapour_s, opened_s, Some(first.start_s)].into_iter().flatten();
        let vapour_s = vapour_s.reduce(f64::min);
        let inside = |row: &(f64, f64)| row.0 >= drawn_s.0 && row.0 <= drawn_s.1;
        let thin = |rows: Vec<(f64, f64)>| rows.into_iter().filter(inside).collect::<Vec<_>>();
        Ok(Self {
            simulation: Simulation { plan: given.plan, spans, vapour_s, drawn_s },
            head: thin(seen.head.binned(drawn_s.0, BIN_S)),
            pot: thin(seen.pot.binned(drawn_s.0, BIN_S)),
            coolant: thin(medians(&seen.duty, drawn_s.0, COOLANT_BIN_S)),
            worth: [
                Worth::Absent,
                Worth::Absent,
                Worth::Absent,
                if given.residue.is_some() { Worth::Used } else { Worth::Absent },
            ],
            evidence: Evidence { jars, residue: given.residue, ..Evidence::default() },
        })
    }

    /// Holds the probes against a still that fits the jars, and takes in those that agree.
    pub(super) fn hold_probes(&mut self, simulated: &Simulated) {
        let track = &simulated.track;
        let one = |rows: &[(f64, f64)], of: fn(&Point) -> f64| match Evidence::probe_off_k(
            rows, track, of,
        ) {
            None => Worth::Absent,
            Some(off_k) if off_k.abs() <= PROBE_OFF_K => Worth::Used,
            Some(_) => Worth::LetGo,
        };
        self.worth[0] = one(&self.head, |point| point.head_k - 273.15);
        self.worth[1] = one(&self.pot, |point| point.pot_k - 273.15);
        self.worth[2] = self.hold_coolant(simulated);
        let kept = |worth: Worth, rows: &[(f64, f64)]| match worth {
            Worth::Used | Worth::UsedAsReflux => rows.to_vec(),
            Worth::Absent | Worth::LetGo => Vec::new(),
        };
        self.evidence.head = kept(self.worth[0], &self.head);
        self.evidence.pot = kept(self.worth[1], &self.pot);
        self.evidence.coolant = kept(self.worth[2], &self.coolant);
        self.evidence.reflux_alone = self.worth[2] == Worth::UsedAsReflux;
    }

    fn hold_coolant(&self, simulated: &Simulated) -> Worth {
        let off = |reflux_alone: bool| {
            let ratio = |&(time_s, watts): &(f64, f64)| {
                Some(watts / heat_w(simulated, time_s, reflux_alone)?)
            };
            let mut ratios: Vec<f64> = self.coolant.iter().filter_map(ratio).collect();
            sense::numbers::median(&mut ratios)
        };
        match off(false).zip(off(true)).map(|(vapour, reflux)| heat_of(vapour, reflux)) {
            None => Worth::Absent,
            Some(HeatOf::Vapour) => Worth::Used,
            Some(HeatOf::Reflux) => Worth::UsedAsReflux,
            Some(HeatOf::Neither) => Worth::LetGo,
        }
    }

    /// A simulated run against what came.
    pub(super) fn compared(&self, simulated: &Simulated) -> Option<Compared> {
        let drawn = Drawn::of(&simulated.track)?;
        let filled = self.evidence.filled(&drawn);
        let (first, last) = (self.evidence.jars.first()?, self.evidence.jars.last()?);
        let took_s = last.end_s - first.start_s;
        let end_percent = 100.0 * (filled.last()?.end_s / took_s - 1.0);
        let mut compared = Compared {
            strength_rms_vol: None,
            strength_bias_vol: None,
            end_percent,
            alcohol_percent: None,
            slices: Vec::new(),
        };
        let gauged = self.evidence.jars.iter().filter(|jar| jar.vol.is_some()).count();
        if gauged < JARS_LEAST {
            return Some(compared);
        }
        let (mut litres, mut came_l) = (vec![0.0], vec![0.0]);
        let mut simulated_l = vec![0.0];
        for (jar, filled) in self.evidence.jars.iter().zip(&filled) {
            let total = |list: &[f64]| list.last().copied().unwrap_or(0.0);
            litres.push(total(&litres) + jar.litres);
            // A jar that was not gauged has no difference of its own.
            let vol = jar.vol.unwrap_or(filled.vol);
            came_l.push(total(&came_l) + jar.litres * vol / 100.0);
            simulated_l.push(total(&simulated_l) + jar.litres * filled.vol / 100.0);
        }
        let all = *litres.last()?;
        let at = |list: &[f64], place: f64| interpolated(&litres, list, place);
        for slice in 0..SLICES {
            let from = all * slice as f64 / SLICES as f64;
            let to = all * (slice + 1) as f64 / SLICES as f64;
            let vol = |list: &[f64]| 100.0 * (at(list, to) - at(list, from)) / (to - from);
            compared.slices.push((0.5 * (from + to), vol(&came_l), vol(&simulated_l)));
        }
        let off = compared.slices.iter().map(|(_, came, sim)| sim - came);
        let off: Vec<f64> = off.collect();
        let count = off.len() as f64;
        let squares: f64 = off.iter().map(|one| one * one).sum();
        compared.strength_rms_vol = Some((squares / count).sqrt());
        compared.strength_bias_vol = Some(off.iter().sum::<f64>() / count);
        compared.alcohol_percent = Some(100.0 * (simulated_l.last()? / came_l.last()? - 1.0));
        Some(compared)
    }
}

/// A value between places in straight lines.
fn interpolated(places: &[f64], values: &[f64], place: f64) -> f64 {
    let high = places.partition_point(|at| *at < place).clamp(1, places.len() - 1);
    let share = (place - places[high - 1]) / (places[high] - places[high - 1]);
    values[high - 1] + share.clamp(0.0, 1.0) * (values[high] - values[high - 1])
}

/// The jars that count, by time: of one number the last record.
fn jars(given: &FinishedRun<'_>) -> Vec<Jar> {
    let records = &given.rows.jars;
    let is_last = |at: usize| records[at + 1..].iter().all(|jar| jar.number != records[at].number);
    let counts = |record: &sense::JarRecord| {
        record.volume_ml > 0.0 && record.end_s - record.start_s >= JAR_LEAST_S
    };
    let mut jars: Vec<Jar> = (0..records.len())
        .filter(|&at| is_last(at) && counts(&records[at]))
        .map(|at| {
            let record = &records[at];
            let gauged = jar::gauged(record, None);
            let (start_s, end_s) = (record.start_s, record.end_s);
            Jar { start_s, end_s, litres: gauged.litres_20c, vol: gauged.strength_vol }
        })
        .collect();
    jars.sort_by(|a, b| a.end_s.total_cmp(&b.end_s));
    jars
}

/// The spans with a mark at least every so often: a track is known at its marks, between them only
/// in straight lines.
fn often(spans: &[Span], from_s: f64, to_s: f64) -> Vec<Span> {
    let mut list: Vec<Span> = Vec::new();
    for (index, span) in spans.iter().enumerate() {
        let end_s = spans.get(index + 1).map_or(to_s, |next| next.start_s);
        list.push(*span);
        let mut start_s = span.start_s.max(from_s) + MARK_S;
        while start_s < end_s - 0.5 * MARK_S {
            list.push(Span { start_s, ..*span });
            start_s += MARK_S;
        }
    }
    list
}

fn check_residue(given: &FinishedRun<'_>, run: usize) -> Result<(), CalibrateError> {
    let Some(Residue { litres, strength_vol }) = given.residue else { return Ok(()) };
    let most = given.plan.charge.litres;
    if !(0.0..=most).contains(&litres) || litres <= 0.0 {
        return Err(CalibrateError::Residue {
            run,
            value: litres,
            unit: "L",
            low: 0.0,
            high: most,
        });
    }
    match strength_vol.filter(|vol| !(0.0..=96.0).contains(vol)) {
        Some(value) => {
            Err(CalibrateError::Residue { run, value, unit: "% vol", low: 0.0, high: 96.0 })
        }
        None => Ok(()),
    }
}

/// Medians of stretches of so many seconds: middle, value.
fn medians(rows: &[(f64, f64)], from_s: f64, width_s: f64) -> Vec<(f64, f64)> {
    let mut list = Vec::new();
    let last_s = rows.last().map_or(from_s, |row| row.0);
    let mut at_s = from_s;
    while at_s < last_s {
        let inside = |row: &&(f64, f64)| row.0 >= at_s && row.0 < at_s + width_s && row.1 > 0.0;
        let mut values: Vec<f64> = rows.iter().filter(inside).map(|row| row.1).collect();
        list.extend(sense::numbers::median(&mut values).map(|watts| (at_s + 0.5 * width_s, watts)));
        at_s += width_s;
    }
    list
}
