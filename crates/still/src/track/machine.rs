//! The tracked still: the past's spans one after the other.

use numerics::rosenbrock::Rosenbrock;

use super::points::{Point, Track};
use super::warm_up::warm;
use super::{Ahead, Ends, Past, Span};
use crate::column::{Apparatus, Column, Draw};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::heat_up::HeatUp;
use crate::plan::TakeOff;
use crate::setup::{self};

/// Integrator step after a change of power or take-off, s.
pub(super) const FIRST_STEP_S: f64 = 5.0;
/// A change of take-off by less than this share needs no new start of the integrator.
const SMALL_CHANGE: f64 = 0.15;
/// Least net heat that counts as boiling, W.
pub(super) const BOILING_W: f64 = 5.0;
/// Most integrator steps of one track; two hundred are usual.
const STEPS_MAX: usize = 20_000;
/// Window of the running mean of the head, s.
pub(super) const HEAD_WINDOW_S: f64 = 600.0;
/// Longest heat-up that is looked ahead for, s.
const HEAT_UP_MAX_S: f64 = 86_400.0;
/// Millilitres a minute in a litre a second.
const ML_PER_MIN: f64 = 60_000.0;

/// A still to be tracked: its apparatus, its charge, and how exactly.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine<const C: usize, E> {
    /// Equilibrium of the charge's substances: water, ethanol, others.
    pub equilibrium: E,
    /// The apparatus.
    pub apparatus: Apparatus,
    /// The charge, mol.
    pub charge_mol: [f64; C],
    /// Its temperature at heater on, K.
    pub start_k: f64,
    /// Relative tolerance of the integration.
    pub rtol: f64,
}

impl<const C: usize, E> Machine<C, E> {
    /// The same still with the first substances of its charge only.
    #[must_use]
    pub fn with_equilibrium<const D: usize, F>(&self, equilibrium: F) -> Machine<D, F> {
        Machine {
            equilibrium,
            apparatus: self.apparatus.clone(),
            charge_mol: std::array::from_fn(|i| self.charge_mol.get(i).copied().unwrap_or(0.0)),
            start_k: self.start_k,
            rtol: self.rtol,
        }
    }
}

/// The track under way.
pub(super) struct Runner<const C: usize, E> {
    pub(super) column: Column<C, E>,
    pub(super) integrator: Rosenbrock,
    pub(super) state: Vec<f64>,
    pub(super) probe: Vec<f64>,
    pub(super) time_s: f64,
    pub(super) track: Track,
    pub(super) hearts_s: Option<f64>,
    pub(super) cover_mol: f64,
    pub(super) pot_k: f64,
    pub(super) resting: bool,
}

/// Follows the past of a run and, where asked, goes on by the plan.
///
/// # Errors
/// [`StillError`]: a charge that cannot boil, equations that fail.
pub fn track<const C: usize, E: Equilibrium<C> + Clone>(
    machine: &Machine<C, E>,
    past: &Past,
    ahead: Option<&Ahead<'_>>,
) -> Result<(Track, Option<Ends>), StillError> {
    let mut track = Track::default();
    let reach_s = if ahead.is_some() { HEAT_UP_MAX_S } else { past.until_s };
    let Some((mut runner, from)) = heat_up(machine, past, reach_s, &mut track)? else {
        return Ok((track, None));
    };
    runner.track = track;
    for (index, span) in past.spans.iter().enumerate().skip(from) {
        let until_s = past.spans.get(index + 1).map_or(past.until_s, |next| next.start_s);
        let until_s = until_s.min(past.until_s);
        if runner.time_s < until_s {
            runner.span(span, until_s)?;
        }
    }
    let ends = ahead.map(|ahead| runner.go_on(ahead)).transpose()?;
    Ok((runner.track, ends))
}

/// The heat-up, carried on with the last power up to `reach_s`; the runner and the span it is in,
/// once the column is full. Where the past knows when vapour came, filling begins then.
fn heat_up<const C: usize, E: Equilibrium<C> + Clone>(
    machine: &Machine<C, E>,
    past: &Past,
    reach_s: f64,
    track: &mut Track,
) -> Result<Option<(Runner<C, E>, usize)>, StillError> {
    let most_w = past.spans.iter().map(|span| span.heater_w).fold(0.0, f64::max);
    let Machine { equilibrium, apparatus, charge_mol, start_k, .. } = machine;
    let heat_up = HeatUp::new(equilibrium, apparatus, charge_mol, *start_k, most_w)?;
    let planned_w = heat_up.net_w_at_boil();
    let metal_j = (heat_up.head_jump_s - heat_up.boil_s) * planned_w;
    let fill_j = (heat_up.ready_s - heat_up.head_jump_s) * planned_w;
    let lost_w = apparatus.boiler_loss_w_k * (heat_up.boil_k - apparatus.ambient_k);
    let end_s = |index: usize| past.spans.get(index + 1).map_or(reach_s, |next| next.start_s);
    let (mut pot_k, mut from_s) = (*start_k, None);
    for (index, span) in past.spans.iter().enumerate() {
        let reach = (span.start_s, end_s(index));
        let (time_s, warm_k) =
            warm(equilibrium, apparatus, charge_mol, span.heater_w, reach, (pot_k, heat_up.boil_k));
        pot_k = warm_k;
        if pot_k >= heat_up.boil_k && time_s < reach.1 {
            track.boil_s = Some(time_s);
            from_s = Some(time_s);
            break;
        }
    }
    if let Some(boil_s) = from_s {
        from_s = heat_taken(past, (boil_s, reach_s), lost_w, metal_j).map(|(s, _)| s);
        track.head_jump_s = from_s;
    }
    let Some(vapour_s) = past.vapour_s.or(from_s) else { return Ok(None) };
    let Some((ready_s, index)) = heat_taken(past, (vapour_s, reach_s), lost_w, fill_j) else {
        return Ok(None);
    };
    track.ready_s = Some(ready_s);
    Ok(Some((Runner::new(machine, &heat_up, past.hearts_s, ready_s)?, index)))
}

/// When the heat left over after `lost_w` has come to `heat_j`, and in which span.
fn heat_taken(
    past: &Past,
    (from_s, reach_s): (f64, f64),
    lost_w: f64,
    heat_j: f64,
) -> Option<(f64, usize)> {
    let mut left_j = heat_j;
    for (index, span) in past.spans.iter().enumerate() {
        let end_s = past.spans.get(index + 1).map_or(reach_s, |next| next.start_s);
        let (low_s, net_w) = (span.start_s.max(from_s), span.heater_w - lost_w);
        if end_s <= low_s || net_w <= BOILING_W {
            continue;
        }
        if net_w * (end_s - low_s) >= left_j {
            return Some((low_s + left_j / net_w, index));
        }
        left_j -= net_w * (end_s - low_s);
    }
    None
}

impl<const C: usize, E: Equilibrium<C> + Clone> Runner<C, E> {
    fn new(
        machine: &Machine<C, E>,
        heat_up: &HeatUp<C>,
        hearts_s: Option<f64>,
        time_s: f64,
    ) -> Result<Self, StillError> {
        let apparatus = &machine.apparatus;
        let mut state = heat_up.pot_mol.to_vec();
        for _ in 0..=apparatus.stages {
            state.extend_from_slice(&heat_up.fill);
        }
        state.extend_from_slice(&[0.0; C]);
        let total: f64 = machine.charge_mol.iter().sum();
        let last = apparatus.stages + 2;
        let absolute = (0..state.len()).map(|i| {
            let share = machine.rtol * machine.charge_mol[i % C];
            if i / C == 0 || i / C == last { share } else { share / total }
        });
        let integrator = Rosenbrock::new(machine.rtol, absolute.collect(), FIRST_STEP_S)
            .with_change_limit(setup::change_limits::<C>(apparatus.stages));
        let column = Column::new(machine.equilibrium.clone(), apparatus.clone(), &state)
            .map_err(StillError::at(time_s))?;
        Ok(Self {
            column,
            integrator,
            probe: state.clone(),
            state,
            time_s,
            track: Track::default(),
            hearts_s,
            cover_mol: 0.01 * total,
            pot_k: heat_up.boil_k,
            resting: false,
        })
    }

    /// Sets heater and take-off; a large change begins the integrator anew.
    pub(super) fn set(&mut self, heater_w: f64, take_off: TakeOff) {
        let draw = match take_off {
            TakeOff::Closed => Draw::Closed,
            TakeOff::MlPerMin(rate) if rate <= 0.0 => Draw::Closed,
            TakeOff::RefluxRatio(ratio) => Draw::Ratio(ratio),
            TakeOff::MlPerMin(rate) => Draw::Rate(rate / ML_PER_MIN),
        };
        let near = |a: f64, b: f64| (a - b).abs() <= SMALL_CHANGE * a.abs().max(b.abs());
        let small = near(self.column.heater_w, heater_w)
            && match (self.column.draw, draw) {
                (Draw::Closed, Draw::Closed) => true,
                (Draw::Ratio(a), Draw::Ratio(b)) => near(a + 1.0, b + 1.0),
                (Draw::Rate(a), Draw::Rate(b)) => near(a, b),
                _ => false,
            };
        self.column.heater_w = heater_w;
        self.column.draw = draw;
        if !small {
            self.integrator.restart(FIRST_STEP_S);
        }
    }

    fn span(&mut self, span: &Span, until_s: f64) -> Result<(), StillError> {
        self.set(span.heater_w, span.take_off);
        // A pot that rests has cooled: only one that boils is as the equations have it.
        if !self.resting {
            self.evaluate()?;
            self.note()?;
        }
        while self.time_s < until_s {
            if self.resting || !self.has_heat() {
                self.rest(until_s)?;
            } else {
                self.advance(until_s)?;
            }
        }
        Ok(())
    }

    pub(super) fn evaluate(&mut self) -> Result<(), StillError> {
        self.column.evaluate(&self.state).map_err(StillError::at(self.time_s))
    }

    /// One integrator step, not past `until_s`.
    pub(super) fn advance(&mut self, until_s: f64) -> Result<(), StillError> {
        let time_s = self.time_s;
        let gave_up = |steps: usize, why: String| StillError::Integrator { time_s, steps, why };
        if self.integrator.accepted > STEPS_MAX {
            return Err(gave_up(STEPS_MAX, "too many steps".to_owned()));
        }
        self.time_s = self
            .integrator
            .advance(&mut self.column, time_s, until_s, &mut self.state)
            .map_err(|error| gave_up(self.integrator.accepted, error.to_string()))?;
        self.evaluate()?;
        self.column.remember();
        self.note()?;
        if !self.rises() {
            self.resting = true;
        }
        Ok(())
    }

    /// Whether the pot is dry, or nothing boils.
    pub(super) fn spent(&self) -> bool {
        self.resting || self.state[..C].iter().sum::<f64>() <= self.cover_mol
    }

    /// Keeps the evaluated state as a point of the track.
    pub(super) fn note(&mut self) -> Result<(), StillError> {
        let point = self.point(self.time_s, &self.state)?;
        self.pot_k = point.pot_k;
        if self.track.points.last().is_some_and(|last| last.time_s >= self.time_s) {
            self.track.points.pop();
        }
        self.track.points.push(point);
        self.lowest();
        Ok(())
    }

    /// The column's last evaluation, which was at `state`.
    pub(super) fn point(&self, time_s: f64, state: &[f64]) -> Result<Point, StillError> {
        let n = self.column.apparatus.stages;
        let rows: &[[f64; C]] = state.as_chunks().0;
        let (flows, nodes) = (self.column.flows(), self.column.nodes());
        let drum = &rows[n + 1];
        let vapour = flows.vapour[n].max(0.0);
        Ok(Point {
            time_s,
            head_k: self.column.head_k().map_err(StillError::at(time_s))?,
            pot_k: nodes[0].temperature_k,
            drum_x: drum[1] / (drum[0] + drum[1]),
            drawn_mol: [rows[n + 2][0], rows[n + 2][1]],
            pot_mol: [rows[0][0], rows[0][1]],
            vapour_mol_s: vapour,
            duty_w: vapour * nodes[n].latent.0,
            draw_mol_s: flows.draw,
        })
    }

    /// The lowest ten-minute mean of the head while hearts are drawn, up to now.
    fn lowest(&mut self) {
        let Some(hearts_s) = self.hearts_s else { return };
        let from_s = self.time_s - HEAD_WINDOW_S;
        if from_s < hearts_s || self.column.draw == Draw::Closed {
            return;
        }
        if let Some(mean_k) = mean_head(&self.track.points, from_s, self.time_s) {
            let lowest = self.track.lowest_head_k.unwrap_or(mean_k);
            self.track.lowest_head_k = Some(lowest.min(mean_k));
        }
        if self.track.end.is_none() {
            self.track.end = self.track.kelvin_end(hearts_s);
        }
    }
}

/// Mean of the head between two times, by straight lines.
pub(super) fn mean_head(points: &[Point], from_s: f64, to_s: f64) -> Option<f64> {
    let (mut sum, mut width) = (0.0, 0.0);
    for pair in points.windows(2).rev() {
        let (low_s, high_s) = (pair[0].time_s.max(from_s), pair[1].time_s.min(to_s));
        if pair[1].time_s <= from_s {
            break;
        }
        let span_s = pair[1].time_s - pair[0].time_s;
        if high_s > low_s && span_s > 0.0 {
            let at = |s: f64| {
                pair[0].head_k + (pair[1].head_k - pair[0].head_k) * (s - pair[0].time_s) / span_s
            };
            sum += (high_s - low_s) * 0.5 * (at(low_s) + at(high_s));
            width += high_s - low_s;
        }
    }
    (width > 0.0).then(|| sum / width)
}
