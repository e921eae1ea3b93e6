//! The simulated still for one set of unknowns, followed to the present or on to the ends.

use std::cell::Cell;
use std::rc::Rc;

use alcoholometry::kernel;
use still::plan::{RunPlan, StillKind, TakeOff};
use still::track::{Ahead, End, Ends, Machine, Past, Span, Track, track};
use still::{Cancel, Fraction, StillError, apparatus};
use thermo::{Component, Mixture, PureSubstance};

use super::believe::{
    Beliefs, COLUMN_LOSS, CORE, FUSEL, HEAT_LOSS, HEATER, HOLD_UP, LIGHT, LITRES, SEPARATION,
    STRENGTH, UNKNOWNS, VALVE,
};
use super::past::{Inputs, Weakened};
use super::seen::Seen;

/// Water, ethanol, one light and one fusel substance stand for the whole charge.
pub(super) const PLACES: usize = 4;
/// Stages simulated per believed stage: leaves the efficiency room on both sides.
const STAGES_PER_BELIEVED: f64 = 1.25;
/// Most stages simulated.
const STAGES_MAX: f64 = 32.0;
/// A bare head works as about half a stage, whatever its owner calls it.
const POT_EFFICIENCY: f64 = 0.55;
/// The wall of a bare head holds little: most of the liquid is in condenser and arm.
const POT_DRUM: f64 = 0.9;
/// Congeners below this are not there, mg/L.
const TRACE_MG_PER_L: f64 = 1.0;
/// Tolerance of the integration: far below what the measurements can tell.
const RTOL: f64 = 2e-3;
/// A still of few nodes needs few steps, and its slopes are small: there a finer one costs little.
/// With the other one the fit of four runs of a still of three contacts goes 1 to 3 % of the hearts
/// to and fro by changes of its last bits (doi 10.1109/ACCESS.2022.3197604).
const RTOL_OF_FEW: f64 = 2e-4;
/// A column of so many contacts at most is a still of few (judgement).
const FEW_CONTACTS: f64 = 6.0;

/// A vector of unknowns, in their own units.
pub(super) type Unknowns = [f64; UNKNOWNS];

/// The unknowns that any still has by these values, nothing learned of a thermometer in the column.
pub(super) fn core_of(value: impl Fn(usize) -> f64) -> Unknowns {
    std::array::from_fn(|place| if place < CORE { value(place) } else { 0.0 })
}

/// Whether it is a pot, or a column of few contacts.
pub(super) fn is_of_few(plan: &RunPlan) -> bool {
    plan.still.kind == StillKind::Pot || plan.still.stages <= FEW_CONTACTS
}

/// What stays the same through a fit.
#[derive(Debug, Clone)]
pub(super) struct Model<'a> {
    pub(super) plan: &'a RunPlan,
    pub(super) inputs: &'a Inputs,
    pub(super) beliefs: &'a Beliefs,
    pub(super) step: (f64, usize),
    /// A heater that gives less from a moment on: from there the unknown is its power over that
    /// before.
    pub(super) weakened: Option<Weakened>,
    mixture: Mixture<PLACES>,
    /// Water and ethanol alone, for a charge that is stated to hold nothing else.
    pure: Option<Mixture<2>>,
    /// How many simulations were made with this model and those beside it.
    made: Rc<Cell<u64>>,
    /// Stops all simulations made with it.
    pub(super) cancel: Cancel,
}

/// A simulated run.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Simulated {
    pub(super) track: Track,
    pub(super) ends: Option<Ends>,
}

impl<'a> Model<'a> {
    pub(super) fn new(
        plan: &'a RunPlan,
        seen: &Seen,
        inputs: &'a Inputs,
        beliefs: &'a Beliefs,
    ) -> Result<Self, StillError> {
        let substances = [
            Component::Water,
            Component::Ethanol,
            Component::EthylAcetate,
            Component::IsoamylAlcohol,
        ];
        let mixture = Mixture::new(&substances)
            .map_err(|error| StillError::Column { time_s: 0.0, source: error.into() })?;
        let pure = (beliefs.light_mg_per_l + beliefs.fusel_mg_per_l <= TRACE_MG_PER_L)
            .then(|| Mixture::new(&substances[..2]))
            .transpose()
            .map_err(|error| StillError::Column { time_s: 0.0, source: error.into() })?;
        let made = Rc::new(Cell::new(0));
        Ok(Self {
            plan,
            inputs,
            beliefs,
            step: seen.step(),
            weakened: None,
            mixture,
            pure,
            made,
            cancel: Cancel::never(),
        })
    }

    /// The same still and past under other beliefs.
    pub(super) fn beside(&self, beliefs: &'a Beliefs) -> Self {
        Self { beliefs, ..self.clone() }
    }

    /// The same still of another plan with another past.
    pub(super) fn with_past<'b>(&self, plan: &'b RunPlan, inputs: &'b Inputs) -> Model<'b>
    where
        'a: 'b,
    {
        Model { plan, inputs, ..self.clone() }
    }

    /// How many simulations were made with this model and those beside it.
    pub(super) fn made(&self) -> u64 {
        self.made.get()
    }

    /// The still of these unknowns.
    fn machine(&self, unknowns: &Unknowns) -> Machine<PLACES, Mixture<PLACES>> {
        let factor = |place: usize| unknowns[place].clamp(-3.0, 3.0).exp();
        let charge = &self.plan.charge;
        let litres = charge.litres * factor(LITRES);
        let strength = (charge.strength_vol * factor(STRENGTH)).clamp(0.1, 96.0);
        let p = kernel::mass_fraction_from_vol20(strength / 100.0);
        let mass_g = litres * kernel::density_kg_m3(p, 20.0);
        let moles = |component: Component, mg_per_l: f64| {
            mg_per_l * 1e-3 * litres / PureSubstance::of(component).molar_mass_g_mol()
        };
        let charge_mol = [
            mass_g * (1.0 - p) / kernel::WATER_MOLAR_MASS_G_MOL,
            mass_g * p / kernel::ETHANOL_MOLAR_MASS_G_MOL,
            moles(Component::EthylAcetate, self.beliefs.light_mg_per_l * factor(LIGHT)),
            moles(Component::IsoamylAlcohol, self.beliefs.fusel_mg_per_l * factor(FUSEL)),
        ];
        let mut of = apparatus(self.plan, None);
        let held = of.holdup_mol() * factor(HOLD_UP);
        let held = held.min(0.3 * charge_mol.iter().sum::<f64>());
        let still = &self.plan.still;
        let (stages, efficiency) = if still.kind == StillKind::Pot {
            (1.0, POT_EFFICIENCY)
        } else {
            let believed = still.stages * still.efficiency.unwrap_or(1.0);
            let stages = (STAGES_PER_BELIEVED * believed).ceil().clamp(2.0, STAGES_MAX);
            (stages, believed / stages)
        };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 32")]
        {
            of.stages = stages as usize;
        }
        of.efficiency = (efficiency * factor(SEPARATION)).min(0.99);
        let in_drum = if still.kind == StillKind::Pot { POT_DRUM } else { still.drum_fraction };
        of.drum_mol = held * in_drum.clamp(0.05, 0.95);
        of.stage_mol = (held - of.drum_mol) / stages;
        of.boiler_loss_w_k *= factor(HEAT_LOSS);
        of.column_loss_w_k *= factor(COLUMN_LOSS);
        of.pressure_drop_pa *= still.stages.max(1.0) / stages;
        Machine {
            equilibrium: self.mixture.clone(),
            apparatus: of,
            charge_mol,
            start_k: charge.temperature_c + 273.15,
            rtol: if is_of_few(self.plan) { RTOL_OF_FEW } else { RTOL },
        }
    }

    /// Whether the charge holds congeners that are simulated.
    pub(super) const fn has_congeners(&self) -> bool {
        self.pure.is_none()
    }

    /// Whether the take-off is set as a reflux ratio: what the valve makes of it is then unknown.
    pub(super) fn by_ratio(&self) -> bool {
        let ratio = |take_off| matches!(take_off, TakeOff::RefluxRatio(_));
        self.plan.still.kind == StillKind::Column
            && (ratio(self.inputs.take_off)
                || self.inputs.past.spans.iter().any(|span| ratio(span.take_off)))
    }

    /// Whether a slow phase of the hearts is still to be gone over to.
    pub(super) fn changes_over(&self) -> bool {
        (self.step.1 + 1..self.plan.steps.len()).any(|index| self.plan.is_slow_phase(index))
    }

    /// Follows the past and, where `ahead` says so, goes on to the end of the hearts or the stop,
    /// changing over as late as it comes.
    pub(super) fn simulate(
        &self,
        unknowns: &Unknowns,
        ahead: Reach,
    ) -> Result<Simulated, StillError> {
        self.simulate_with(unknowns, ahead, ChangeOver::Latest)
    }

    /// The same, with the change to a later step as prompt or as late as it comes.
    pub(super) fn simulate_with(
        &self,
        unknowns: &Unknowns,
        ahead: Reach,
        change_over: ChangeOver,
    ) -> Result<Simulated, StillError> {
        self.made.set(self.made.get() + 1);
        let before = self.weakened.map_or(0.0, |weakened| weakened.before);
        let heater = (before + unknowns[HEATER]).clamp(-1.0, 1.0).exp();
        let machine = self.machine(unknowns);
        let valve = if self.by_ratio() { unknowns[VALVE].clamp(-0.5, 0.5).exp() } else { 1.0 };
        let past = Past { spans: self.spans(heater, valve), ..self.inputs.past.clone() };
        let next = Ahead {
            plan: self.plan,
            step_index: self.step.1,
            step_start_s: self.step.0,
            heater_w: self.inputs.heater_w * heater,
            take_off: through(self.inputs.take_off, valve),
            heater_factor: heater,
            valve: self.inputs.valve * valve,
            late_s: change_over.late_s(self.inputs.habits.late_s),
            whole: ahead == Reach::Stop,
        };
        let next = (ahead != Reach::Now).then_some(&next);
        let (track, ends) = match &self.pure {
            Some(pure) => {
                track(&machine.with_equilibrium(pure.clone()), &past, next, &self.cancel)?
            }
            None => track(&machine, &past, next, &self.cancel)?,
        };
        Ok(Simulated { track, ends })
    }

    /// The past with the heater and the valve as they are.
    fn spans(&self, heater: f64, valve: f64) -> Vec<Span> {
        let mut spans = self.inputs.past.spans.clone();
        if let Some(Weakened { from_s, .. }) = self.weakened
            && let Some(place) = spans.iter().rposition(|span| span.start_s < from_s)
        {
            let rest = Span { start_s: from_s, ..spans[place] };
            spans.insert(place + 1, rest);
        }
        for span in &mut spans {
            span.heater_w *= match self.weakened {
                Some(weakened) if span.start_s < weakened.from_s => weakened.before.exp(),
                _ => heater,
            };
            span.take_off = through(span.take_off, valve);
        }
        spans
    }
}

/// A reflux ratio as the valve gives it.
fn through(take_off: TakeOff, valve: f64) -> TakeOff {
    match take_off {
        TakeOff::RefluxRatio(ratio) => TakeOff::RefluxRatio(((ratio + 1.0) / valve - 1.0).max(0.0)),
        other => other,
    }
}

/// When a person goes over to the next step once its trigger is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ChangeOver {
    /// In the same second.
    Prompt,
    /// Half as late as the latest.
    Usual,
    /// As late as it comes.
    Latest,
}

impl ChangeOver {
    /// How long after the trigger where it is `usual_s` in the mean: any moment up to twice that, s.
    const fn late_s(self, usual_s: f64) -> f64 {
        match self {
            Self::Prompt => 0.0,
            Self::Usual => usual_s,
            Self::Latest => 2.0 * usual_s,
        }
    }
}

/// How far a simulation goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// To the present.
    Now,
    /// To the end of the hearts.
    Hearts,
    /// To the plan's stop.
    Stop,
}

/// The hearts from their start to an end.
pub(super) fn hearts_until(simulated: &Simulated, end: &End) -> Option<Fraction> {
    let hearts_s = simulated.ends?.hearts_s?;
    let start = simulated.track.at(hearts_s).or(simulated.track.points.first().copied())?;
    Some(end.at.drawn_since(&start))
}
