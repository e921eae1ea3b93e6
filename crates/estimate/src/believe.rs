//! What is believed before a run is measured: the unknowns of the fit with mean and spread.
//!
//! Widths are physical: what a steel rule, a hydrometer and a kitchen scale leave open, what a
//! label of a heater means, how far owners' guesses about hold-up and losses tend to be off. Where
//! no source is named they are common practice, from memory.

use still::plan::{RunPlan, StillKind, default_congeners_mg_per_l};

use super::character::{Character, Trait};

/// The unknowns that change the simulated still, by their place (definition).
pub(super) const LITRES: usize = 0;
pub(super) const STRENGTH: usize = 1;
pub(super) const HEAT_LOSS: usize = 2;
pub(super) const HEATER: usize = 3;
pub(super) const SEPARATION: usize = 4;
pub(super) const HOLD_UP: usize = 5;
pub(super) const FUSEL: usize = 6;
pub(super) const LIGHT: usize = 7;
pub(super) const COLUMN_LOSS: usize = 8;
pub(super) const VALVE: usize = 9;
/// How many of them there are (definition).
pub(super) const SIMULATED: usize = 10;
/// The unknowns of the measurements themselves, offsets and biases, by their place (definition).
pub(super) const HEAD_OFFSET: usize = 10;
pub(super) const POT_OFFSET: usize = 11;
pub(super) const GLASS: usize = 12;
pub(super) const COOLANT: usize = 13;
pub(super) const DRIFT: usize = 14;
/// Place of the hearts' alcohol over the model's, which touches the forecast only (definition).
pub(super) const YIELD: usize = 15;
/// How many unknowns any still has; what follows is of a thermometer in the column (definition).
pub(super) const CORE: usize = 16;
/// Offset of the thermometer in the column, K, its place over where it is stated to sit, shares of
/// the packed height, and its drift, K/h, by their place (definition).
pub(super) const COLUMN_OFFSET: usize = 16;
pub(super) const COLUMN_PLACE: usize = 17;
pub(super) const COLUMN_DRIFT: usize = 18;
/// How many unknowns there are in all (definition).
pub(super) const UNKNOWNS: usize = 19;

/// Names of the unknowns, as `evidence.shares` gives them.
pub(super) const NAMES: [&str; UNKNOWNS] = [
    "charge_litres",
    "charge_strength",
    "heat_loss",
    "heater",
    "separation",
    "hold_up",
    "fusel_alcohol",
    "light_heads",
    "column_loss",
    "valve",
    "head_offset",
    "pot_offset",
    "glass_bias",
    "coolant_meter",
    "head_drift",
    "yield",
    "column_offset",
    "column_place",
    "column_drift",
];

/// Mean and standard deviation of one unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spread {
    pub(super) mean: f64,
    pub(super) sd: f64,
}

/// All unknowns before the run is measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Beliefs {
    pub(super) of: [Spread; UNKNOWNS],
    /// Congeners that are light and that are fusel alcohol, mg per litre of charge.
    pub(super) light_mg_per_l: f64,
    pub(super) fusel_mg_per_l: f64,
}

/// Stated figures are never better than this, relative.
const LITRES_LEAST: f64 = 0.006;
/// Judgement, picked over 0.008 while looking at the scores of 180 simulated runs.
const STRENGTH_LEAST: f64 = 0.012;
/// What is assumed where no spread is stated, relative.
const LITRES_USUAL: f64 = 0.02;
const STRENGTH_USUAL: f64 = 0.03;
/// A light or fusel amount that nobody measured against the usual one.
const CONGENER_SD: f64 = 0.7;
/// Heat in the coolant by a cheap flow meter and two probes a kelvin apart at worst, relative:
/// common practice, no source.
const COOLANT_SD: f64 = 0.12;
/// Spread of a metered power, relative.
const METERED: f64 = 0.012;
/// Steam, gas or fire of a known still from run to run, ln (the least scatter of measured heat-ups,
/// data set of R package MPV 1.64).
const FROM_RUN_TO_RUN: f64 = 0.2;
/// Usual amounts are guesses: a little below them is likelier than above.
const FUSEL_SHARE: f64 = 0.85;

/// Ln of the reflux that the wall of a pot's head makes over what its loss would.
const POT_HEAD_LOSS: f64 = -0.4;

/// Ln of a pot's hearts over the model's: a head that is a little more than half a stage late in the
/// run makes its strength fall a little sooner.
const POT_YIELD: f64 = -0.008;

/// A thermometer that does not drift, K/h: as good as fixed.
pub(super) const NO_DRIFT: f64 = 1e-4;
/// Offset of a thermometer in the column, K: as sold, and what its place between wall and packing
/// costs it (judgement).
const COLUMN_OFFSET_SD: f64 = 0.5;
/// Where it really sits, shares of the packed height: what a rule leaves open, and that stages are
/// not spread evenly (judgement); where its place is not stated, anywhere in the middle.
const COLUMN_PLACE_SD: f64 = 0.10;
const COLUMN_PLACE_UNSTATED: f64 = 0.16;

/// In a pot a thermometer's offset moves more from charge to charge: light congeners, which nobody
/// states, shift the boil and the vapour by a tenth of a kelvin or two.
const POT_OFFSET_MOVES: Moves = Moves { drift: 0.15, least: 0.2 };

/// Traits and the unknowns they are, with how they move in that kind of still.
pub(super) fn traits(kind: StillKind) -> [(Trait, usize, Moves); 9] {
    TRAITS.map(|(of, place, moves)| match place {
        HEAD_OFFSET | POT_OFFSET if kind == StillKind::Pot => (of, place, POT_OFFSET_MOVES),
        _ => (of, place, moves),
    })
}

const TRAITS: [(Trait, usize, Moves); 9] = [
    (Trait::Separation, SEPARATION, Moves { drift: 0.05, least: 0.08 }),
    (Trait::HeatLoss, HEAT_LOSS, Moves { drift: 0.15, least: 0.2 }),
    (Trait::ColumnLoss, COLUMN_LOSS, Moves { drift: 0.15, least: 0.2 }),
    (Trait::Heater, HEATER, Moves { drift: 0.01, least: 0.018 }),
    (Trait::HoldUp, HOLD_UP, Moves { drift: 0.05, least: 0.2 }),
    (Trait::HeadOffset, HEAD_OFFSET, Moves { drift: 0.05, least: 0.12 }),
    (Trait::PotOffset, POT_OFFSET, Moves { drift: 0.1, least: 0.15 }),
    (Trait::Valve, VALVE, Moves { drift: 0.015, least: 0.02 }),
    (Trait::Yield, YIELD, Moves { drift: 0.01, least: 0.015 }),
];

/// How a trait moves from one run to the next, and the spread that learning may not go below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Moves {
    pub(super) drift: f64,
    pub(super) least: f64,
}

impl Beliefs {
    /// From the plan, and from the still's character where it has one.
    pub(super) fn of(plan: &RunPlan, character: Option<&Character>, metered: bool) -> Self {
        let charge = &plan.charge;
        let pot = plan.still.kind == StillKind::Pot;
        let relative = |sd: Option<f64>, value: f64, usual: f64, least: f64| {
            sd.map_or(usual, |sd| sd / value).max(least)
        };
        let spread = |mean: f64, sd: f64| Spread { mean, sd };
        let mut of = [spread(0.0, 1.0); UNKNOWNS];
        of[LITRES] =
            spread(0.0, relative(charge.litres_sd, charge.litres, LITRES_USUAL, LITRES_LEAST));
        of[STRENGTH] = spread(
            0.0,
            relative(charge.strength_sd, charge.strength_vol, STRENGTH_USUAL, STRENGTH_LEAST),
        );
        of[HEAT_LOSS] = spread(0.0, 0.5);
        // What a bare head loses condenses on its wall, where little of it meets the vapour again.
        of[COLUMN_LOSS] = spread(if pot { POT_HEAD_LOSS } else { 0.0 }, 0.5);
        of[HEATER] = spread(0.0, if metered { METERED } else { plan.still.power_log_sd() });
        of[SEPARATION] = spread(0.0, if pot { 0.3 } else { 0.25 });
        of[HOLD_UP] = spread(0.0, 0.3);
        of[FUSEL] = spread(0.0, CONGENER_SD);
        of[LIGHT] = spread(0.0, CONGENER_SD);
        of[HEAD_OFFSET] = spread(0.0, 0.3);
        of[POT_OFFSET] = spread(0.0, 0.4);
        of[GLASS] = spread(0.0, 0.15);
        of[VALVE] = spread(0.0, 0.04);
        of[COOLANT] = spread(0.0, COOLANT_SD);
        of[DRIFT] = spread(0.0, NO_DRIFT);
        let (_, stated) = plan.still.column_probe();
        of[COLUMN_OFFSET] = spread(0.0, COLUMN_OFFSET_SD);
        of[COLUMN_PLACE] =
            spread(0.0, if stated { COLUMN_PLACE_SD } else { COLUMN_PLACE_UNSTATED });
        of[COLUMN_DRIFT] = spread(0.0, NO_DRIFT);
        of[YIELD] = spread(if pot { POT_YIELD } else { 0.0 }, 0.02);
        for (which, unknown, mut moves) in traits(plan.still.kind) {
            // Steam, gas and fire are another power in each run, whatever the last one was.
            if unknown == HEATER && !metered && !plan.still.heat_source.is_electric() {
                moves.least = plan.still.power_log_sd().min(FROM_RUN_TO_RUN);
            }
            if let Some(belief) = character.and_then(|character| character.belief(which)) {
                let sd = belief.sd.hypot(moves.drift).max(moves.least);
                of[unknown] = spread(belief.mean, sd.min(of[unknown].sd.max(moves.least)));
            }
        }
        let stated = charge.congeners_mg_per_l.clone();
        let known = stated.is_some();
        let amounts = stated.unwrap_or_else(|| default_congeners_mg_per_l(charge));
        let amount = |name: &str| amounts.get(name).copied().unwrap_or(0.0);
        let share = if known { 1.0 } else { FUSEL_SHARE };
        let fusel = amount("3-methyl-1-butanol")
            + 0.8 * amount("2-methyl-1-propanol")
            + 0.5 * amount("1-propanol");
        Self {
            of,
            light_mg_per_l: (amount("acetaldehyde") + amount("ethyl_acetate")).max(0.1),
            fusel_mg_per_l: (share * fusel).max(0.1),
        }
    }
}
