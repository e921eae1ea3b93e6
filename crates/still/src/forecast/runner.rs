//! Drives the column through the plan's steps and finds where each one ends.

use alcoholometry::kernel;
use numerics::rosenbrock::Rosenbrock;
use thermo::Component;

use super::Options;
use super::fraction::Fraction;
use super::plateau::PlateauWatch;
use super::report::{self, Peaks};
use super::rows::{ML_PER_MIN, heating_row, running_row};
use super::triggers::{Condition, Moment, REARM_K, REARM_LATEST_S};
use crate::column::{Column, Draw};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::heat_up::HeatUp;
use crate::outcome::{EndedBy, Forecast, Row, StepOutcome};
use crate::plan::{RunPlan, Step, StepKind, TakeOff};
use crate::setup::{self, ChargeMoles, ICE_POINT_K};

/// First integrator step after a change of heater or take-off, s.
const FIRST_STEP_S: f64 = 1.0;
/// A pot costs next to nothing and its triggers lie on flat curves: its tolerance is this much
/// tighter than asked for.
const POT_TIGHTER: f64 = 0.2;
/// Longest run, s: three days.
const RUN_MAX_S: f64 = 259_200.0;
/// Most integrator steps of a run; some hundreds are usual.
const STEPS_MAX: usize = 400_000;

/// A run being simulated.
pub(super) struct Runner<'a, const C: usize, E> {
    pub(super) plan: &'a RunPlan,
    pub(super) components: Vec<Component>,
    pub(super) charge_mol: [f64; C],
    pub(super) heat_up: HeatUp<C>,
    pub(super) column: Column<C, E>,
    pub(super) integrator: Rosenbrock,
    pub(super) state: Vec<f64>,
    pub(super) time_s: f64,
    pub(super) energy_j: f64,
    pub(super) rows: Vec<Row>,
    pub(super) steps: Vec<StepOutcome>,
    pub(super) peaks: Peaks,
    pub(super) ended_by: EndedBy,
    pub(super) plateau: PlateauWatch,
    row_every_s: Option<f64>,
    pub(super) probe: Vec<f64>,
    /// Hearts time passed when the running step began, s; none before the first hearts.
    pub(super) hearts_s: Option<f64>,
}

/// The step being run.
pub(super) struct Running<const C: usize> {
    pub(super) conditions: Vec<Condition>,
    pub(super) start_s: f64,
    pub(super) limit_s: f64,
    pub(super) drawn_before: [f64; C],
    pub(super) draws: bool,
    pub(super) rise_k: Option<f64>,
    pub(super) slow_phase: bool,
    /// From when the rise trigger acts.
    pub(super) armed_s: Option<f64>,
}

impl<'a, const C: usize, E: Equilibrium<C>> Runner<'a, C, E> {
    pub(super) fn new(
        plan: &'a RunPlan,
        options: &Options,
        charge: &ChargeMoles,
        equilibrium: E,
    ) -> Result<Self, StillError> {
        let apparatus = setup::apparatus(plan, options.pressure_hpa);
        let charge_mol = charge.padded::<C>();
        let start_k = plan.charge.temperature_c + ICE_POINT_K;
        let heat_up =
            HeatUp::new(&equilibrium, &apparatus, &charge_mol, start_k, plan.step_watts(0))?;
        let mut state = heat_up.pot_mol.to_vec();
        for _ in 0..=apparatus.stages {
            state.extend_from_slice(&heat_up.fill);
        }
        state.extend_from_slice(&[0.0; C]);
        let total: f64 = charge_mol.iter().sum();
        let rtol = options.rtol * if apparatus.stages <= 1 { POT_TIGHTER } else { 1.0 };
        let tolerance = |place: usize, row: usize| {
            let share = rtol * charge_mol[place];
            if row == 0 || row == apparatus.stages + 2 { share } else { share / total }
        };
        let absolute = (0..state.len()).map(|i| tolerance(i % C, i / C)).collect();
        let ready_s = heat_up.ready_s;
        let column =
            Column::new(equilibrium, apparatus, &state).map_err(StillError::at(ready_s))?;
        Ok(Self {
            plan,
            components: charge.components.clone(),
            charge_mol,
            integrator: Rosenbrock::new(rtol, absolute, FIRST_STEP_S)
                .with_change_limit(setup::change_limits::<C>(column.apparatus.stages)),
            probe: state.clone(),
            state,
            column,
            time_s: 0.0,
            energy_j: 0.0,
            rows: Vec::new(),
            steps: Vec::new(),
            peaks: Peaks::default(),
            ended_by: EndedBy::Plan,
            plateau: PlateauWatch::default(),
            row_every_s: options.row_every_s,
            hearts_s: None,
            heat_up,
        })
    }

    pub(super) fn run(mut self) -> Result<Forecast, StillError> {
        self.heat()?;
        for index in 1..self.plan.steps.len() {
            if self.plan.steps[index].kind == StepKind::Stop {
                break;
            }
            let ended_by = self.step(index)?;
            if matches!(ended_by, EndedBy::ElementCover | EndedBy::PotDry | EndedBy::NoVapour) {
                self.ended_by = ended_by;
                break;
            }
            if self.time_s >= RUN_MAX_S {
                break;
            }
        }
        self.last_row()?;
        Ok(report::assemble(self))
    }

    /// Heat-up and filling; the column begins at its end.
    fn heat(&mut self) -> Result<(), StillError> {
        let ready_s = self.heat_up.ready_s;
        while let Some(time_s) = self.next_row_s().filter(|time_s| *time_s < ready_s) {
            let row = heating_row(&self.heat_up, &self.components, &self.charge_mol, time_s);
            self.rows.push(row);
        }
        self.time_s = ready_s;
        let watts = self.plan.step_watts(0);
        self.energy_j = watts * ready_s;
        self.column.heater_w = watts;
        self.evaluate_state()?;
        self.steps.push(StepOutcome {
            index: 0,
            kind: StepKind::Heat,
            start_s: 0.0,
            end_s: ready_s,
            ended_by: EndedBy::Filled,
            watts,
            litres_20c: 0.0,
            strength_vol: None,
            pure_alcohol_l: 0.0,
            congeners_g_per_hl_pa: None,
            head_end_c: self.heat_up.head_jump_k - ICE_POINT_K,
            pot_end_c: self.heat_up.boil_k - ICE_POINT_K,
            drum_end_vol: None,
        });
        Ok(())
    }

    fn next_row_s(&self) -> Option<f64> {
        self.row_every_s.map(|every| every * self.rows.len() as f64)
    }

    fn evaluate_state(&mut self) -> Result<(), StillError> {
        self.column.evaluate(&self.state).map_err(StillError::at(self.time_s))
    }

    /// Evaluates the column inside the last integrator step.
    pub(super) fn evaluate_at(&mut self, time_s: f64) -> Result<(), StillError> {
        self.integrator.interpolate(time_s, &mut self.probe);
        self.column.evaluate(&self.probe).map_err(StillError::at(time_s))
    }

    pub(super) fn head_at(&mut self, time_s: f64) -> Result<f64, StillError> {
        self.evaluate_at(time_s)?;
        self.column.head_k().map_err(StillError::at(time_s))
    }

    fn row(state: &[f64], row: usize) -> &[f64; C] {
        &state.as_chunks().0[row]
    }

    fn begin(&mut self, index: usize) -> Running<C> {
        let step: &Step = &self.plan.steps[index];
        self.column.heater_w = self.plan.step_watts(index);
        self.column.draw = match step.take_off() {
            TakeOff::Closed => Draw::Closed,
            TakeOff::RefluxRatio(ratio) => Draw::Ratio(ratio),
            TakeOff::MlPerMin(rate) => Draw::Rate(rate / ML_PER_MIN),
        };
        self.integrator.restart(FIRST_STEP_S);
        if step.kind == StepKind::Hearts && self.hearts_s.is_none() {
            self.hearts_s = Some(0.0);
        }
        let limit_s = step.minutes.map_or(RUN_MAX_S, |minutes| self.time_s + 60.0 * minutes);
        let receiver = self.column.apparatus.stages + 2;
        Running {
            conditions: Condition::of(step, self.plan, self.charge_mol.iter().sum()),
            start_s: self.time_s,
            limit_s: limit_s.min(RUN_MAX_S),
            drawn_before: *Self::row(&self.state, receiver),
            draws: step.kind.draws(),
            rise_k: step.until_rise_k,
            slow_phase: self.plan.is_slow_phase(index),
            armed_s: None,
        }
    }

    /// Runs one step to its end.
    fn step(&mut self, index: usize) -> Result<EndedBy, StillError> {
        let mut running = self.begin(index);
        self.evaluate_state()?;
        self.peaks.look(&self.column);
        self.arm_at_start(&mut running)?;
        let ended_by = match self.met_at_start(&running)? {
            Some(ended_by) => ended_by,
            None => self.integrate(&mut running)?,
        };
        self.energy_j += self.column.heater_w * (self.time_s - running.start_s);
        if let (Some(passed), true) = (self.hearts_s, running.draws) {
            self.hearts_s = Some(passed + self.time_s - running.start_s);
        }
        self.record(index, &running, ended_by)?;
        Ok(ended_by)
    }

    fn arm_at_start(&mut self, running: &mut Running<C>) -> Result<(), StillError> {
        if let (Some(limit), Some(plateau)) = (running.rise_k, self.plateau.plateau()) {
            let head = self.column.head_k().map_err(StillError::at(self.time_s))?;
            if !running.slow_phase || head - plateau <= limit - REARM_K {
                running.armed_s = Some(self.time_s);
            }
        }
        Ok(())
    }

    /// A condition already met when the step begins ends it at once.
    fn met_at_start(&mut self, running: &Running<C>) -> Result<Option<EndedBy>, StillError> {
        let state = std::mem::take(&mut self.state);
        let met = running
            .conditions
            .iter()
            .find(|condition| self.condition(**condition, &state, running) >= 0.0)
            .map(|condition| condition.ended_by());
        self.state = state;
        if met.is_none() && running.limit_s <= self.time_s {
            return Ok(Some(EndedBy::Minutes));
        }
        if met.is_none() && running.armed_s.is_some() {
            let head = self.column.head_k().map_err(StillError::at(self.time_s))?;
            let rise = self.plateau.plateau().map(|plateau| head - plateau);
            if rise.zip(running.rise_k).is_some_and(|(rise, limit)| rise >= limit) {
                return Ok(Some(EndedBy::UntilRiseK));
            }
        }
        Ok(met)
    }

    /// The value of a condition at a state the column was just evaluated at.
    pub(super) fn condition(
        &self,
        condition: Condition,
        state: &[f64],
        running: &Running<C>,
    ) -> f64 {
        let n = self.column.apparatus.stages;
        let total = Self::row(state, n + 2);
        let own: [f64; C] = std::array::from_fn(|i| total[i] - running.drawn_before[i]);
        condition.value(&Moment {
            step_mol: &own,
            total_mol: total,
            pot_mol: Self::row(state, 0),
            drum: Self::row(state, n + 1),
            pot_c: self.column.nodes()[0].temperature_k - ICE_POINT_K,
            top_vapour_mol_s: self.column.flows().vapour[n],
        })
    }

    /// Integrates until something ends the step; leaves time and state there.
    fn integrate(&mut self, running: &mut Running<C>) -> Result<EndedBy, StillError> {
        loop {
            if self.integrator.accepted > STEPS_MAX {
                return Err(self.gave_up("too many steps"));
            }
            let from = self.time_s;
            let limit = self.next_limit(running);
            let mut state = std::mem::take(&mut self.state);
            let advanced = self.integrator.advance(&mut self.column, from, limit, &mut state);
            self.state = state;
            let to = advanced.map_err(|error| self.gave_up(&error.to_string()))?;
            let end = self.end_within(from, to, running)?;
            let until = end.map_or(to, |(time_s, _)| time_s);
            self.rows_before(until)?;
            self.time_s = until;
            if let Some((time_s, ended_by)) = end {
                self.evaluate_at(time_s)?;
                self.state.copy_from_slice(&self.probe);
                return Ok(ended_by);
            }
            if to >= running.limit_s {
                self.evaluate_state()?;
                return Ok(EndedBy::Minutes);
            }
        }
    }

    pub(super) fn gave_up(&self, why: &str) -> StillError {
        StillError::Integrator {
            time_s: self.time_s,
            steps: self.integrator.accepted,
            why: why.to_owned(),
        }
    }

    /// Where the integrator must stop at the latest: the step's own time, the moment the plateau
    /// is known, the moment a slow phase arms by time.
    fn next_limit(&self, running: &Running<C>) -> f64 {
        let mut limit = running.limit_s;
        let mut stop = |time_s: f64| {
            if time_s > self.time_s {
                limit = limit.min(time_s);
            }
        };
        if let (Some(passed), None, true) = (self.hearts_s, self.plateau.plateau(), running.draws) {
            stop(running.start_s + PlateauWatch::latest_s() - passed);
        }
        if running.rise_k.is_some() && running.slow_phase && running.armed_s.is_none() {
            stop(running.start_s + REARM_LATEST_S);
        }
        limit
    }

    /// Writes the rows that lie before `until`.
    fn rows_before(&mut self, until: f64) -> Result<(), StillError> {
        while let Some(time_s) = self.next_row_s().filter(|time_s| *time_s < until) {
            let head_k = self.head_at(time_s)?;
            let row = running_row(&self.column, &self.components, &self.probe, time_s, head_k);
            self.rows.push(row);
        }
        Ok(())
    }

    fn last_row(&mut self) -> Result<(), StillError> {
        self.evaluate_state()?;
        let head_k = self.column.head_k().map_err(StillError::at(self.time_s))?;
        let row = running_row(&self.column, &self.components, &self.state, self.time_s, head_k);
        self.rows.push(row);
        Ok(())
    }

    fn record(
        &mut self,
        index: usize,
        running: &Running<C>,
        ended_by: EndedBy,
    ) -> Result<(), StillError> {
        let head_k = self.column.head_k().map_err(StillError::at(self.time_s))?;
        let n = self.column.apparatus.stages;
        let total = Self::row(&self.state, n + 2);
        let own: [f64; C] = std::array::from_fn(|i| total[i] - running.drawn_before[i]);
        let nothing = [0.0; C];
        let fraction = Fraction::of(if running.draws { &own } else { &nothing });
        let drum = Self::row(&self.state, n + 1);
        self.steps.push(StepOutcome {
            index,
            kind: self.plan.steps[index].kind,
            start_s: running.start_s,
            end_s: self.time_s,
            ended_by,
            watts: self.column.heater_w,
            litres_20c: fraction.litres_20c,
            strength_vol: fraction.strength_vol,
            pure_alcohol_l: fraction.pure_alcohol_l,
            congeners_g_per_hl_pa: fraction.congeners_g_per_hl_pa(&self.components, &own),
            head_end_c: head_k - ICE_POINT_K,
            pot_end_c: self.column.nodes()[0].temperature_k - ICE_POINT_K,
            drum_end_vol: Some(kernel::strength_percent_20c(drum[1], drum[0])),
        });
        Ok(())
    }
}
