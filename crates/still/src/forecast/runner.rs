//! Leads a plant through the plan's steps from heater on and keeps what each one gave.

use quantities::RunTime;
use thermo::Component;

use super::options::Options;
use super::peaks::Peaks;
use super::rows::row;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::fraction::Fraction;
use crate::led::Led;
use crate::outcome::{EndedBy, Row, StepOutcome};
use crate::plan::{RunPlan, StepKind};
use crate::plant::{Charged, Pace, Plant};
use crate::setup::{self, ChargeMoles, ICE_POINT_K};
use crate::walk::{PlanWalk, RUN_MAX_S};

/// First integrator step after a change of heater or take-off, s.
const FIRST_STEP_S: f64 = 1.0;
/// A pot costs next to nothing and its triggers lie on flat curves: its tolerance is this much
/// tighter than asked for.
const POT_TIGHTER: f64 = 0.2;

/// A run being simulated.
pub(super) struct Runner<'a, const C: usize, E> {
    pub(super) plan: &'a RunPlan,
    pub(super) components: Vec<Component>,
    pub(super) plant: Plant<C, E>,
    pub(super) walk: PlanWalk,
    pub(super) energy_j: f64,
    pub(super) steps: Vec<StepOutcome>,
    pub(super) ended_by: EndedBy,
    pub(super) record: Record,
}

/// What is kept on the way.
pub(super) struct Record {
    pub(super) rows: Vec<Row>,
    pub(super) peaks: Peaks,
    row_every_s: Option<f64>,
}

impl Record {
    /// Looks at a stretch that just ended: peaks, and the rows before its end.
    fn see<const C: usize, E: Equilibrium<C>>(
        &mut self,
        plant: &mut Plant<C, E>,
        components: &[Component],
    ) -> Result<(), StillError> {
        plant.look(plant.time_s)?;
        self.peaks.look(plant);
        while let Some(time_s) = self.next_row_s().filter(|time_s| *time_s < plant.time_s) {
            plant.look(time_s)?;
            self.rows.push(row(plant, components, time_s, plant.head_k()?));
        }
        Ok(())
    }

    fn next_row_s(&self) -> Option<f64> {
        self.row_every_s.map(|every| every * self.rows.len() as f64)
    }
}

impl<'a, const C: usize, E: Equilibrium<C>> Runner<'a, C, E> {
    pub(super) fn new(
        plan: &'a RunPlan,
        options: &Options,
        charge: &ChargeMoles,
        equilibrium: E,
    ) -> Result<Self, StillError> {
        let apparatus = setup::apparatus(plan, options.pressure);
        let rtol = options.rtol * if apparatus.stages <= 1 { POT_TIGHTER } else { 1.0 };
        let charged = Charged {
            equilibrium,
            apparatus,
            charge_mol: charge.padded::<C>(),
            start_k: plan.charge.temperature_c + ICE_POINT_K,
        };
        let pace = Pace { rtol, first_step_s: FIRST_STEP_S, small_change: 0.0 };
        let plant = Plant::new(charged, pace, options.cancel.clone())?;
        plant.start_up().must_boil(plan.step_power(0).watts())?;
        Ok(Self {
            plan,
            components: charge.components.clone(),
            plant,
            walk: PlanWalk::new(plan),
            energy_j: 0.0,
            steps: Vec::new(),
            ended_by: EndedBy::Plan,
            record: Record {
                rows: Vec::new(),
                peaks: Peaks::default(),
                row_every_s: options.row_every_s,
            },
        })
    }

    /// Leads it to its end.
    pub(super) fn run(mut self) -> Result<Self, StillError> {
        while !self.walk.is_over() {
            let ended_by = self.step()?;
            if ended_by.is_terminal() {
                self.ended_by = ended_by;
            }
            if self.plant.time_s >= RUN_MAX_S {
                break;
            }
            let next = self.walk.next_index(ended_by);
            self.walk.begin(self.plan, next, RunTime::nearest_seconds(self.plant.time_s));
        }
        self.last_row()?;
        Ok(self)
    }

    /// Runs the walk's step to its end.
    fn step(&mut self) -> Result<EndedBy, StillError> {
        self.plant.set(self.walk.power().watts(), setup::draw(self.walk.take_off()));
        self.plant.look(self.plant.time_s)?;
        self.record.peaks.look(&self.plant);
        let before_mol = self.plant.drawn_mol();
        let (record, components) = (&mut self.record, &self.components);
        let mut led = Led { plant: &mut self.plant, walk: &mut self.walk, before_mol, watch: true };
        let met = led.run_step(RUN_MAX_S, |plant, _| record.see(plant, components))?;
        // A run of three days ends there, whatever its plan says.
        let ended_by = met.map_or(EndedBy::Minutes, |met| met.by);
        self.energy_j +=
            self.walk.power().watts() * (self.plant.time_s - self.walk.started().seconds());
        let outcome = self.outcome(&before_mol, ended_by)?;
        self.steps.push(outcome);
        Ok(ended_by)
    }

    fn outcome(
        &mut self,
        before_mol: &[f64; C],
        ended_by: EndedBy,
    ) -> Result<StepOutcome, StillError> {
        let column_head_k = self.plant.column_head_k()?;
        let (plant, walk) = (&self.plant, &self.walk);
        let heats = walk.kind() == StepKind::Heat;
        let head_k = if heats { plant.start_up().head_jump_k } else { column_head_k };
        let total = plant.drawn_mol();
        let own: [f64; C] = std::array::from_fn(|i| total[i] - before_mol[i]);
        let nothing = [0.0; C];
        let fraction = Fraction::of(if walk.kind().draws() { &own } else { &nothing });
        let pot_k = if heats { plant.start_up().boil_k } else { plant.seen_pot_k() };
        Ok(StepOutcome {
            index: walk.index(),
            kind: walk.kind(),
            start_s: walk.started().seconds(),
            end_s: plant.time_s,
            ended_by,
            watts: walk.power().watts(),
            litres_20c: fraction.litres_20c,
            strength_vol: fraction.strength_vol,
            pure_alcohol_l: fraction.pure_alcohol_l,
            congeners_g_per_hl_pa: fraction.congeners_g_per_hl_pa(&self.components, &own),
            head_end_c: head_k - ICE_POINT_K,
            pot_end_c: pot_k - ICE_POINT_K,
            drum_end_vol: (!heats).then(|| plant.drum_vol()),
        })
    }

    fn last_row(&mut self) -> Result<(), StillError> {
        let head_k = self.plant.column_head_k()?;
        let time_s = self.plant.time_s;
        self.record.rows.push(row(&self.plant, &self.components, time_s, Some(head_k)));
        Ok(())
    }
}
