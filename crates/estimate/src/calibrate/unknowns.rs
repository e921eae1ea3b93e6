//! What is looked for: the still's values, shared by all runs, and each run's own charge; their
//! beliefs beforehand and the box they must lie in.
//!
//! All in standard deviations of the belief, so that the prior is the identity.

use still::plan::{Charge, Still};

use super::outcome::{Parameter, Said};

/// Unknowns that all runs share (definition).
pub(super) const SHARED: usize = 6;
/// Unknowns of each run: its litres and its strength (definition).
pub(super) const OWN: usize = 2;

/// Place of each shared unknown (definition).
pub(super) const PLACES: [Parameter; SHARED] = [
    Parameter::ColumnLoss,
    Parameter::BoilerLoss,
    Parameter::Efficiency,
    Parameter::HoldUp,
    Parameter::VapourLost,
    Parameter::ChargeStrength,
];

/// Ln spread of a loss that follows from what a person says of the walls: textbook coefficients
/// hold to a third, the surface of fittings is guessed (judgement).
const LOSS_SAID_SD: f64 = 0.4;
/// Ln spread of losses that merely stand in a run file. On the one rig with measured runs the
/// column's was 19 times and the boiler's a quarter of what had been assumed (doi
/// 10.1109/ACCESS.2022.3197604): two of these (judgement).
const COLUMN_LOSS_SD: f64 = 1.5;
const BOILER_LOSS_SD: f64 = 0.8;
/// Least loss a ratio can be counted from, W/K (judgement).
const LOSS_LEAST: f64 = 0.1;
/// Share of the stated separation that is expected, ln, and its spread (judgement: people count
/// contacts, packing reaches some of them).
const SEPARATION: (f64, f64) = (-0.3, 0.25);
/// Ln spread of the hold-up (judgement).
const HOLD_UP_SD: f64 = 0.5;
/// Vapour lost of a small open rig: 8 +- 6 % of what is drawn (judgement, from the tenth of the
/// alcohol that small rigs miss).
const VAPOUR_LOST: (f64, f64) = (0.08, 0.06);
/// Most vapour lost that is looked for.
const VAPOUR_LOST_MOST: f64 = 0.4;
/// Share of the variance of a charge's strength that all runs have in common: one glass, one way of
/// gauging (judgement).
const COMMON_SHARE: f64 = 0.5;
/// Doubt of a charge where none is stated, relative, and the least that is believed.
const LITRES_SD: (f64, f64) = (0.02, 0.006);
const STRENGTH_SD: (f64, f64) = (0.03, 0.008);
/// How many standard deviations of the belief the box reaches out to.
const BOX: f64 = 3.5;
/// Efficiencies between which is looked.
pub(super) const EFFICIENCY: (f64, f64) = (0.1, 1.0);

/// The still's values and the charge's share over what is stated, in their own units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Physical {
    /// In the order of [`PLACES`]: W/K, W/K, 1, L, 1, ln.
    pub(super) of: [f64; SHARED],
}

/// Belief about one unknown: mean and spread, of the logarithm where `ln` says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Belief {
    pub(super) mean: f64,
    pub(super) sd: f64,
    pub(super) ln: bool,
    /// Box, in standard deviations.
    pub(super) low: f64,
    pub(super) high: f64,
}

impl Belief {
    const fn of(mean: f64, sd: f64, ln: bool) -> Self {
        Self { mean, sd, ln, low: -BOX, high: BOX }
    }

    /// Cuts the box off at these values.
    fn within(mut self, low: f64, high: f64) -> Self {
        let at = |value: f64| ((if self.ln { value.ln() } else { value }) - self.mean) / self.sd;
        (self.low, self.high) = (self.low.max(at(low)), self.high.min(at(high)));
        self
    }

    /// The value at `z`, in its own unit.
    pub(super) fn value(&self, z: f64) -> f64 {
        let value = self.mean + self.sd * z;
        if self.ln { value.exp() } else { value }
    }
}

/// Beliefs about everything that is looked for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Beliefs {
    shared: [Belief; SHARED],
    /// Relative spreads of litres and strength of each run's charge.
    charges: Vec<[f64; OWN]>,
    /// Contact stages that are simulated.
    pub(super) stages: f64,
}

impl Beliefs {
    /// About a still as stated, its losses as a person says them, `stages` of it simulated.
    pub(super) fn of(still: &Still, said: &Said, charges: &[&Charge], stages: f64) -> Self {
        let loss = |said: Option<f64>, stated: f64, wide: f64| {
            let sd = if said.is_some() { LOSS_SAID_SD } else { wide };
            Belief::of(said.unwrap_or(stated).max(LOSS_LEAST).ln(), sd, true)
        };
        let believed = still.stages * still.efficiency.unwrap_or(1.0);
        let efficiency = (believed / stages.max(1.0)).clamp(EFFICIENCY.0, EFFICIENCY.1);
        let spreads: Vec<[f64; OWN]> = charges.iter().map(|charge| spreads(charge)).collect();
        let mean = |of: usize| {
            spreads.iter().map(|one| one[of]).sum::<f64>() / spreads.len().max(1) as f64
        };
        let (lost, lost_sd) = match still.vapour_lost {
            Some(lost) => (lost, VAPOUR_LOST.1),
            None => VAPOUR_LOST,
        };
        let column = still.column_loss_w_per_k;
        let shared = [
            loss(said.column_loss_w_per_k, column, COLUMN_LOSS_SD),
            loss(said.boiler_loss_w_per_k, still.boiler_loss_w_per_k, BOILER_LOSS_SD),
            Belief::of(efficiency.ln() + SEPARATION.0, SEPARATION.1, true)
                .within(EFFICIENCY.0, EFFICIENCY.1),
            Belief::of(still.holdup_litres.ln(), HOLD_UP_SD, true),
            Belief::of(lost, lost_sd, false).within(0.0, VAPOUR_LOST_MOST),
            Belief::of(0.0, COMMON_SHARE.sqrt() * mean(1), false),
        ];
        Self { shared, charges: spreads, stages }
    }

    /// How many unknowns there are.
    pub(super) fn count(&self) -> usize {
        SHARED + OWN * self.charges.len()
    }

    /// Whether the still has it: a bare pot has no stage to be efficient.
    pub(super) fn has(&self, place: usize) -> bool {
        PLACES[place] != Parameter::Efficiency || self.stages >= 1.0
    }

    /// The belief about a shared unknown.
    pub(super) const fn shared(&self, place: usize) -> &Belief {
        &self.shared[place]
    }

    /// The box of an unknown, in standard deviations.
    pub(super) fn bounds(&self, place: usize) -> (f64, f64) {
        self.shared.get(place).map_or((-BOX, BOX), |belief| (belief.low, belief.high))
    }

    /// The shared values at `z`.
    pub(super) fn physical(&self, z: &[f64]) -> Physical {
        Physical { of: std::array::from_fn(|place| self.shared[place].value(z[place])) }
    }

    /// Litres and strength of a run's charge over what is stated, as factors.
    pub(super) fn charge(&self, z: &[f64], run: usize) -> (f64, f64) {
        let own = SHARED + OWN * run;
        let (litres_sd, common, alone) = self.charge_sds(run);
        ((litres_sd * z[own]).exp(), (common * z[SHARED - 1] + alone * z[own + 1]).exp())
    }

    /// Relative spreads of a run's litres, and of its strength: in common, and alone.
    pub(super) fn charge_sds(&self, run: usize) -> (f64, f64, f64) {
        let [litres, strength] = self.charges[run];
        let common = self.shared[SHARED - 1].sd;
        (litres, common, strength * (1.0 - COMMON_SHARE).sqrt())
    }

    /// The same beliefs for runs of the charges named by their places.
    pub(super) fn of_runs(&self, runs: &[usize]) -> Self {
        let charges = runs.iter().map(|&run| self.charges[run]).collect();
        Self { charges, ..self.clone() }
    }
}

/// Relative doubt of a charge's litres and strength.
fn spreads(charge: &Charge) -> [f64; OWN] {
    let relative = |sd: Option<f64>, value: f64, (usual, least): (f64, f64)| {
        sd.map_or(usual, |sd| sd / value).max(least)
    };
    [
        relative(charge.litres_sd, charge.litres, LITRES_SD),
        relative(charge.strength_sd, charge.strength_vol, STRENGTH_SD),
    ]
}
