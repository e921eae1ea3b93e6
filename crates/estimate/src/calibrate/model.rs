//! A finished run as this still would have done it: the simulated still of one set of unknowns.

use std::cell::Cell;

use alcoholometry::kernel;
use still::plan::{RunPlan, StillKind};
use still::track::{Machine, Past, Span, Track, track};
use still::{Cancel, StillError, apparatus};
use thermo::{Component, Mixture};

use super::unknowns::Physical;

/// Tolerance of the integration: far below what jars can tell, and smooth enough for slopes.
const RTOL: f64 = 5e-4;
/// Most of the charge that is held up.
const HELD_MOST: f64 = 0.3;
/// How much longer than it took a run is simulated, as a share of it: a still that is too slow must
/// be seen to be slow.
pub(super) const LONGER: f64 = 0.5;

/// What is simulated of a run.
#[derive(Debug, Clone)]
pub(super) struct Simulation<'a> {
    pub(super) plan: &'a RunPlan,
    pub(super) spans: Vec<Span>,
    /// When vapour was seen, or the first spirit ran, s.
    pub(super) vapour_s: Option<f64>,
    /// From the first jar's start to the last one's end, s.
    pub(super) drawn_s: (f64, f64),
}

/// A simulated run.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Simulated {
    pub(super) track: Track,
    /// Water and ethanol charged, mol.
    charge_mol: [f64; 2],
    pub(super) vapour_lost: f64,
}

impl Simulated {
    /// Litres at 20 °C and strength of what is left at a time, hold-up drained back.
    pub(super) fn left(&self, time_s: f64) -> (f64, f64) {
        let points = &self.track.points;
        let at = self.track.at(time_s).or(points.first().copied());
        let drawn = at.map_or([0.0; 2], |at| at.drawn_mol);
        let left: [f64; 2] = std::array::from_fn(|i| {
            (self.charge_mol[i] - drawn[i] / (1.0 - self.vapour_lost)).max(1e-9)
        });
        (kernel::litres_20c(left[1], left[0]), kernel::strength_percent_20c(left[1], left[0]))
    }
}

/// What all simulations share: the mixture, the count of them, the way to stop them.
#[derive(Debug, Clone)]
pub(super) struct Bench {
    mixture: Mixture<2>,
    made: Cell<u64>,
    cancel: Cancel,
}

impl Bench {
    /// Of water and ethanol.
    pub(super) fn new(cancel: &Cancel) -> Result<Self, StillError> {
        let mixture = Mixture::new(&[Component::Water, Component::Ethanol])
            .map_err(|error| StillError::Column { time_s: 0.0, source: error.into() })?;
        Ok(Self { mixture, made: Cell::new(0), cancel: cancel.clone() })
    }

    /// How many simulations were made.
    pub(super) const fn made(&self) -> u64 {
        self.made.get()
    }

    /// Simulates a run with a charge of so many times the litres and the strength stated. Where
    /// `past_end`, some time beyond the last jar; else to its end.
    pub(super) fn simulate(
        &self,
        run: &Simulation<'_>,
        stages: f64,
        at: &Physical,
        charge: (f64, f64),
        past_end: bool,
    ) -> Result<Simulated, StillError> {
        self.made.set(self.made.get() + 1);
        let (start_s, end_s) = run.drawn_s;
        let longer = if past_end { LONGER * (end_s - start_s) } else { 0.0 };
        let past = Past {
            spans: run.spans.clone(),
            until_s: end_s + longer,
            vapour_s: run.vapour_s,
            hearts_s: None,
        };
        let machine = self.machine(run.plan, stages, at, charge);
        let (track, _) = track(&machine, &past, None, &self.cancel)?;
        let vapour_lost = machine.apparatus.vapour_lost;
        Ok(Simulated { track, charge_mol: machine.charge_mol, vapour_lost })
    }

    fn machine(
        &self,
        plan: &RunPlan,
        stages: f64,
        at: &Physical,
        (litres, strength): (f64, f64),
    ) -> Machine<2, Mixture<2>> {
        let [column, boiler, efficiency, held_l, lost, _] = at.of;
        let strength = (plan.charge.strength_vol * strength).clamp(0.1, 96.0);
        let p = kernel::mass_fraction_from_vol20(strength / 100.0);
        let mass_g = plan.charge.litres * litres * kernel::density_kg_m3(p, 20.0);
        let charge_mol = [
            mass_g * (1.0 - p) / kernel::WATER_MOLAR_MASS_G_MOL,
            mass_g * p / kernel::ETHANOL_MOLAR_MASS_G_MOL,
        ];
        let mut of = apparatus(plan, None);
        let all: f64 = charge_mol.iter().sum();
        let held = (of.holdup_mol() * held_l / plan.still.holdup_litres).min(HELD_MOST * all);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
        {
            of.stages = stages as usize;
        }
        let in_drum = if of.stages == 0 { 1.0 } else { plan.still.drum_fraction };
        of.drum_mol = held * in_drum;
        of.stage_mol = if of.stages == 0 { 0.0 } else { (held - of.drum_mol) / stages };
        of.efficiency = if of.stages == 0 { 1.0 } else { efficiency };
        of.pressure_drop_pa *= plan.still.stages.max(1.0) / stages.max(1.0);
        (of.column_loss_w_k, of.boiler_loss_w_k, of.vapour_lost) = (column, boiler, lost);
        Machine {
            equilibrium: self.mixture.clone(),
            apparatus: of,
            charge_mol,
            start_k: plan.charge.temperature_c + 273.15,
            rtol: RTOL,
        }
    }
}

/// Contact stages that are simulated for a still of so many: whole ones, as the forecast has them.
pub(super) fn whole_stages(plan: &RunPlan) -> f64 {
    match plan.still.kind {
        StillKind::Pot => plan.still.stages.ceil(),
        StillKind::Column => plan.still.stages.ceil().max(2.0),
    }
}
