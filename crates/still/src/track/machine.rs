//! The tracked still: the past's spans one after the other.

use quantities::RunTime;

use super::notes::{Notes, RunningStep};
use super::points::{Ends, Track};
use super::{Ahead, Past};
use crate::cancel::Cancel;
use crate::column::Apparatus;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::led::Led;
use crate::plan::{RunPlan, TakeOff};
use crate::plant::{Charged, Cold, Pace, Phase, Plant, StartUp};
use crate::setup;
use crate::walk::PlanWalk;

/// Integrator step after a change of power or take-off, s.
const FIRST_STEP_S: f64 = 5.0;
/// A change of take-off by less than this share needs no new start of the integrator.
const SMALL_CHANGE: f64 = 0.15;
/// Longest heat-up that is looked ahead for, s.
const HEAT_UP_MAX_S: f64 = 86_400.0;

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
    pub(super) plant: Plant<C, E>,
    pub(super) notes: Notes,
    pub(super) walk: Option<PlanWalk>,
    /// Moles drawn when the running step began.
    pub(super) before_mol: [f64; C],
    /// Whether the plan has a rise trigger, for which the plateau must be known.
    pub(super) watch: bool,
}

/// Follows the past of a run and, where asked, goes on by the plan.
///
/// # Errors
/// [`StillError`]: a charge that cannot boil, equations that fail, a reckoning cancelled or over
/// its limit.
pub fn track<const C: usize, E: Equilibrium<C> + Clone>(
    machine: &Machine<C, E>,
    past: &Past,
    ahead: Option<&Ahead<'_>>,
    cancel: &Cancel,
) -> Result<(Track, Option<Ends>), StillError> {
    let mut runner = Runner::new(machine, past, cancel)?;
    let reach_s = if ahead.is_some() { HEAT_UP_MAX_S } else { past.until_s };
    let start = runner.plant.start_up();
    let (boil_s, head_jump_s) = warm_up(start, machine.start_k, past, reach_s);
    let track = &mut runner.notes.track;
    (track.boil_s, track.head_jump_s) = (boil_s, head_jump_s);
    // Where the past knows when vapour came, filling begins then.
    let Some(vapour_s) = past.vapour_s.or(head_jump_s) else {
        return Ok((runner.notes.track, None));
    };
    runner.plant.vapour_came(vapour_s);
    runner.follow(past, ahead)?;
    let ends = ahead.map(|ahead| runner.go_on(ahead)).transpose()?;
    runner.notes.track.ready_s = runner.plant.marks.ready_s;
    let full = runner.plant.phase != Phase::Cold;
    Ok((runner.notes.track, ends.filter(|_| full)))
}

/// When the charge boils and when vapour reaches the head by the heat put in, the last power
/// carried on up to `reach_s`.
fn warm_up<const C: usize>(
    start: &StartUp<C>,
    start_k: f64,
    past: &Past,
    reach_s: f64,
) -> (Option<f64>, Option<f64>) {
    let mut cold = Cold { pot_k: start_k, boils: false, taken_j: 0.0 };
    let mut boil_s = None;
    for (index, span) in past.spans.iter().enumerate() {
        let end_s = past.spans.get(index + 1).map_or(reach_s, |next| next.start_s);
        let mut time_s = span.start_s;
        while time_s < end_s {
            time_s = start.advance(&mut cold, span.heater_w, (time_s, end_s));
            if cold.boils {
                boil_s.get_or_insert(time_s);
            }
            if start.head_is_hot(&cold) {
                return (boil_s, Some(time_s));
            }
        }
    }
    (boil_s, None)
}

impl<const C: usize, E: Equilibrium<C> + Clone> Runner<C, E> {
    fn new(machine: &Machine<C, E>, past: &Past, cancel: &Cancel) -> Result<Self, StillError> {
        let charged = Charged {
            equilibrium: machine.equilibrium.clone(),
            apparatus: machine.apparatus.clone(),
            charge_mol: machine.charge_mol,
            start_k: machine.start_k,
        };
        let (rtol, first_step_s) = (machine.rtol, FIRST_STEP_S);
        let pace = Pace { rtol, first_step_s, small_change: SMALL_CHANGE };
        let plant = Plant::new(charged, pace, cancel.clone())?;
        let most_w = past.spans.iter().map(|span| span.heater_w).fold(0.0, f64::max);
        plant.start_up().must_boil(most_w)?;
        let notes = Notes::new(past.hearts_s);
        Ok(Self { plant, notes, walk: None, before_mol: [0.0; C], watch: false })
    }

    /// Goes through what was set, and through the steps where a plan goes on from there.
    fn follow(&mut self, past: &Past, ahead: Option<&Ahead<'_>>) -> Result<(), StillError> {
        let mut begins = ahead.map_or(vec![], |ahead| begins(past, ahead));
        if let Some(ahead) = ahead {
            self.walk = Some(PlanWalk::new(ahead.plan));
            let later = ahead.plan.steps.iter().skip(ahead.step_index);
            self.watch = later.into_iter().any(|step| step.until_rise_k.is_some());
            self.begin_due(ahead.plan, &mut begins, self.plant.time_s)?;
        }
        for (index, span) in past.spans.iter().enumerate() {
            let until_s = past.spans.get(index + 1).map_or(past.until_s, |next| next.start_s);
            let until_s = until_s.min(past.until_s);
            if self.plant.time_s >= until_s {
                continue;
            }
            self.set(span.heater_w, span.take_off)?;
            while self.plant.time_s < until_s {
                let next_s = begins.first().map_or(until_s, |(time_s, _)| time_s.min(until_s));
                self.to(next_s)?;
                if let Some(ahead) = ahead {
                    self.begin_due(ahead.plan, &mut begins, self.plant.time_s)?;
                }
            }
        }
        if let Some(ahead) = ahead {
            self.begin_due(ahead.plan, &mut begins, f64::INFINITY)?;
        }
        Ok(())
    }

    /// Begins the steps that have begun by `now_s`.
    fn begin_due(
        &mut self,
        plan: &RunPlan,
        begins: &mut Vec<(f64, usize)>,
        now_s: f64,
    ) -> Result<(), StillError> {
        while let Some((time_s, index)) = begins.first().copied().filter(|due| due.0 <= now_s) {
            begins.remove(0);
            self.begin(plan, index, time_s)?;
        }
        Ok(())
    }

    /// Begins a step with what is drawn now.
    pub(super) fn begin(
        &mut self,
        plan: &RunPlan,
        index: usize,
        time_s: f64,
    ) -> Result<(), StillError> {
        self.plant.look(self.plant.time_s)?;
        self.before_mol = self.plant.drawn_mol();
        self.notes.step = RunningStep { index, begun_s: time_s };
        if let Some(walk) = &mut self.walk {
            walk.begin(plan, index, RunTime::nearest_seconds(time_s));
        }
        Ok(())
    }

    /// Sets heater and take-off.
    pub(super) fn set(&mut self, heater_w: f64, take_off: TakeOff) -> Result<(), StillError> {
        self.plant.set(heater_w, setup::draw(take_off));
        self.notes.note(&mut self.plant)
    }

    /// Goes on to a time, whatever ends before.
    pub(super) fn to(&mut self, until_s: f64) -> Result<(), StillError> {
        let notes = &mut self.notes;
        if let Some(walk) = self.walk.as_mut().filter(|_| self.watch) {
            let (before_mol, watch) = (self.before_mol, self.watch);
            let mut led = Led { plant: &mut self.plant, walk, before_mol, watch };
            return led.past(until_s, |plant| notes.note(plant));
        }
        while self.plant.time_s < until_s {
            self.plant.advance(until_s)?;
            notes.note(&mut self.plant)?;
        }
        Ok(())
    }
}

/// The steps that a walk must know of to go on: the first hearts and the running one.
fn begins(past: &Past, ahead: &Ahead<'_>) -> Vec<(f64, usize)> {
    let running = (ahead.step_start_s, ahead.step_index);
    let hearts = past.hearts_s.zip(ahead.plan.first_hearts());
    let before = hearts.filter(|hearts| hearts.1 < running.1 && hearts.0 <= running.0);
    before.into_iter().chain([running]).collect()
}
