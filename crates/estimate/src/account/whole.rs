//! The whole run fitted with everything let free that a balance may be wrong by: the charge, what
//! the glass and the jug read, vapour that left uncondensed, what does not drain back.
//!
//! One fit with wide beliefs; each cause is then weighed in a straight line about it.

use nalgebra::{SMatrix, SVector};
use still::StillError;
use still::plan::{RunPlan, StillKind, TakeOff};
use still::track::Point;

use super::gauged::Gauged;
use crate::believe::{Beliefs, CORE, HEATER, LITRES, SIMULATED, STRENGTH, Spread};
use crate::fit::NEAR_FLOOR;
use crate::hypotheses::Weighed;
use crate::least_squares::{cost, weight};
use crate::linear::active;
use crate::measured::{Measured, Measurement};
use crate::model::{Model, Reach, Simulated, core_of};
use crate::past::Inputs;
use crate::problem::unknowns;
use crate::seen::Seen;
use sense::jar::JUG_SD;

/// Places of what a balance lets free, after the unknowns of the fit (definition).
pub(super) const READ: usize = CORE;
pub(super) const LOST: usize = CORE + 1;
pub(super) const POURED: usize = CORE + 2;
pub(super) const DRAINED: usize = CORE + 3;
pub(super) const ALL: usize = CORE + 4;

/// All unknowns in their own units.
pub(super) type Vector = SVector<f64, ALL>;
pub(super) type Square = SMatrix<f64, ALL, ALL>;

/// What is believed of the four where nothing is wrong: ln of what the glass reads of the strength,
/// vapour lost as a share of the vapour drawn, ln of what the jug reads of the volume, and share of
/// the hold-up that drains back into the residue (judgement).
const SOUND: [Spread; 4] = [
    Spread { mean: 0.0, sd: 0.003 },
    Spread { mean: 0.0, sd: 0.008 },
    Spread { mean: 0.0, sd: JUG_SD },
    Spread { mean: 0.8, sd: 0.15 },
];
/// Spreads of the wide fit: each as wide as the widest cause has it, so that all of them find home.
const WIDE_CHARGE: f64 = 0.12;
const WIDE: [Spread; 4] = [
    Spread { mean: 0.0, sd: 0.05 },
    Spread { mean: 0.02, sd: 0.08 },
    Spread { mean: 0.0, sd: 0.03 },
    Spread { mean: 0.8, sd: 0.3 },
];
/// What a label of a heater that no meter was read at says of the power, ln: how fast a pot boils
/// is weak evidence of what it lost (judgement).
const LABEL: f64 = 0.15;
/// Bounds within which the fit stays.
const LOST_MOST: f64 = 0.5;
/// What the course of the strength is out by in real stills, % vol for each % vol under the strongest
/// spirit there is: strong spirit is held by the azeotrope, weak spirit by nothing (judgement: at 65
/// to 77 % vol that is 1.6 to 2.6, as near as a measured run is expected to be met).
const COURSE: f64 = 0.08;
const STRONGEST_VOL: f64 = 97.2;
/// Share of what the fit's measurements say that counts: the model is wrong in ways that no cause
/// names (as in the fit's own weighing of explanations).
const TRUST: f64 = 0.5;
/// Steps at most, and shares of a step that are tried.
const ROUNDS: usize = 10;
/// Widths of the distribution of residuals in the first steps, then 1 (as in the fit).
const WIDTHS: [f64; 3] = [12.0, 5.0, 2.0];
const SHARES: [f64; 4] = [1.0, 0.4, 0.15, 0.05];
/// Where improvement counts as none.
const SETTLED: f64 = 0.01;
/// All jars of a run together, what they share by the jug apart, relative (judgement: each is read
/// to a hundredth or two, and there are a few).
const ALL_JARS: f64 = 0.006;
/// Step of the differences, wide standard deviations.
const STEP: f64 = 0.25;

/// What a run with certain unknowns would show.
#[derive(Debug, Clone)]
struct Look {
    residuals: Vec<f64>,
    told: Told,
}

/// Numbers of a balance that follow from the unknowns, litres of pure alcohol.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Told {
    /// In the boiler, and held in column and drum.
    pub(super) pot_l: f64,
    pub(super) held_l: f64,
    /// In the residue once it has drained.
    pub(super) residue_l: f64,
    /// Left as vapour.
    pub(super) lost_l: f64,
}

/// A value that follows from the unknowns in a straight line about the fit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Straight {
    pub(super) value: f64,
    pub(super) slope: Vector,
}

/// The wide fit.
pub(super) struct Whole {
    pub(super) theta: Vector,
    /// Beliefs where nothing is wrong.
    pub(super) sound: [Spread; ALL],
    /// Weighted squares: slopes by slopes, slopes by residuals, residuals by residuals.
    pub(super) squares: Square,
    pub(super) pull: Vector,
    pub(super) rest: f64,
    pub(super) pot: Straight,
    pub(super) held: Straight,
    pub(super) residue: Straight,
    pub(super) lost: Straight,
}

struct Setting<'a> {
    plan: &'a RunPlan,
    model: &'a Model<'a>,
    measured: &'a Measured,
    gauged: &'a Gauged,
    now_s: f64,
    wide: [Spread; ALL],
}

impl Whole {
    /// Fits everything that was measured, the residue with it.
    pub(super) fn fitted(
        plan: &RunPlan,
        seen: &Seen,
        best: &Weighed<'_>,
        sound: &Beliefs,
        measured: &Measured,
        gauged: &Gauged,
    ) -> Self {
        let (own, metered) = (&sound.of, best.model.inputs.metered);
        let mut believed = [Spread { mean: 0.0, sd: 1.0 }; ALL];
        believed[..CORE].copy_from_slice(&own[..CORE]);
        believed[CORE..].copy_from_slice(&SOUND);
        let label = !metered && plan.still.kind == StillKind::Pot;
        // Under a heater that gives less the unknown is another one.
        let heater = best.model.weakened.map_or(own[HEATER], |_| best.model.beliefs.of[HEATER]);
        believed[HEATER] = Spread { sd: heater.sd.max(if label { LABEL } else { 0.0 }), ..heater };
        let mut wide = believed;
        wide[CORE..].copy_from_slice(&WIDE);
        for place in [LITRES, STRENGTH] {
            wide[place].sd = wide[place].sd.max(WIDE_CHARGE);
        }
        // What a column gives at a set ratio is no account of its alcohol: the model is wrong there by
        // as much as any cause, where the vapour changes while a jar fills.
        let mut measured = measured.without_column();
        let rate = |of: &Measurement| matches!(of, Measurement::Rate(..));
        measured.list.retain(|(of, _)| plan.still.kind == StillKind::Pot || !rate(of));
        for (of, sd) in &mut measured.list {
            if let Measurement::Glass(_, _, vol) = of {
                *sd = sd.hypot(COURSE * (STRONGEST_VOL - *vol).max(0.0));
            }
        }
        let measured = &measured;
        // What is stated as lost is let free, not taken off twice.
        let mut free = plan.clone();
        free.still.vapour_lost = None;
        let setting =
            Setting { plan: &free, model: &best.model, measured, gauged, now_s: seen.now_s, wide };
        let at = unknowns(best.model.beliefs, &best.fit.z);
        let start =
            Vector::from_fn(|place, _| at[..CORE].get(place).copied().unwrap_or(wide[place].mean));
        setting.descend(start, &believed)
    }
}

impl Setting<'_> {
    /// The past with the take-off of a column as it must have been: what was measured of it is
    /// what condensed, as the jug read it.
    fn inputs(&self, theta: &Vector) -> Inputs {
        let mut inputs = self.model.inputs.clone();
        let came = 1.0 / condensed(theta);
        for span in &mut inputs.past.spans {
            if let TakeOff::MlPerMin(rate) = &mut span.take_off {
                *rate *= came;
            }
        }
        inputs
    }

    fn simulate(&self, theta: &Vector) -> Result<Simulated, StillError> {
        let inputs = self.inputs(theta);
        let own = core_of(|place| theta[place]);
        self.model.with_past(self.plan, &inputs).simulate(&own, Reach::Now)
    }

    /// The measurements as they would read with glass and jug right and nothing lost.
    fn put_right(&self, theta: &Vector) -> Measured {
        let (read, condensed) = (theta[READ].exp(), condensed(theta));
        let mut measured = self.measured.clone();
        for (measurement, _) in &mut measured.list {
            match measurement {
                Measurement::Glass(_, _, vol) => *vol /= read,
                Measurement::Jar(_, _, litres) | Measurement::Rate(_, _, litres, _) => {
                    *litres /= condensed;
                }
                _ => {}
            }
        }
        measured
    }

    fn look(&self, simulated: &Simulated, theta: &Vector) -> Look {
        let own = core_of(|place| theta[place]);
        let fitted = self.put_right(theta).residuals(simulated, &own);
        let mut residuals: Vec<f64> = fitted.iter().map(|r| r * TRUST.sqrt()).collect();
        let points = &simulated.track.points;
        let last = points.iter().rev().find(|point| point.time_s <= self.now_s);
        let charge = &self.plan.charge;
        let charged_l =
            charge.litres * charge.strength_vol / 100.0 * (theta[LITRES] + theta[STRENGTH]).exp();
        let told = match (points.first(), last) {
            (Some(first), Some(last)) => self.told(theta, charged_l, (first, last)),
            _ => {
                (Told { pot_l: charged_l, residue_l: charged_l, ..Told::default() }, charge.litres)
            }
        };
        let (told, residue_litres) = told;
        residuals.extend(self.all_jars(simulated, theta));
        if let Some((litres, sd)) = self.gauged.residue_litres {
            residuals.push((litres - residue_litres) / sd);
        }
        if let Some((vol, sd)) = self.gauged.residue_vol {
            residuals.push((vol - 100.0 * told.residue_l / residue_litres.max(1e-6)) / sd);
        }
        Look { residuals, told }
    }

    /// All jars of a pot together against what was drawn into them: what one jar is out by, the
    /// next is not.
    fn all_jars(&self, simulated: &Simulated, theta: &Vector) -> Option<f64> {
        if self.plan.still.kind == StillKind::Column {
            return None;
        }
        let track = &simulated.track;
        let (mut found, mut drawn) = (0.0, 0.0);
        for &(from_s, to_s, litres) in &self.gauged.measured {
            let (Some(first), Some(end)) = (track.points.first(), track.at(to_s)) else { continue };
            let low = track.at(from_s).unwrap_or(*first);
            found += litres;
            drawn += end.drawn_since(&low).litres_20c;
        }
        let condensed = condensed(theta);
        (found > 0.0).then(|| (found / (drawn * condensed).max(1e-6)).ln() / ALL_JARS)
    }

    /// Where the alcohol is at the end, and the litres of the residue.
    fn told(&self, theta: &Vector, charged_l: f64, (first, last): (&Point, &Point)) -> (Told, f64) {
        let drawn_l = last.drawn_since(first).pure_alcohol_l;
        let pot_l = last.pot_alcohol_l();
        let held_l = (charged_l - pot_l - drawn_l).max(0.0);
        let drained = theta[DRAINED];
        let [water, ethanol] = last.pot_mol.map(|mol| mol.max(1e-12));
        let pot_litres = alcoholometry::kernel::litres_20c(ethanol, water);
        let told = Told {
            pot_l,
            held_l,
            residue_l: pot_l + drained * held_l,
            lost_l: theta[LOST] * drawn_l,
        };
        (told, pot_litres + drained * self.plan.still.holdup_litres)
    }

    /// Whether an unknown changes the simulated still.
    fn simulates(&self, place: usize) -> bool {
        let column = self.plan.still.kind == StillKind::Column;
        let own = place < SIMULATED && active(self.model, place);
        own || (column && (place == LOST || place == POURED))
    }

    fn z(&self, theta: &Vector) -> Vec<f64> {
        (0..ALL).map(|i| (theta[i] - self.wide[i].mean) / self.wide[i].sd).collect()
    }

    /// Slopes of all that is looked at, for each unknown in its own unit.
    fn slopes(&self, theta: &Vector, here: &Simulated, look: &Look) -> Vec<Look> {
        let poured = STEP * self.wide[POURED].sd;
        // A column that poured so much more and one that lost so much less were drawn alike.
        let alike = (1.0 - theta[LOST]) * (1.0 - poured.exp());
        let mut drawn = None;
        let one = |place: usize| {
            let step = if place == LOST { alike } else { STEP * self.wide[place].sd };
            let mut aside = *theta;
            aside[place] += step;
            let there = if !self.simulates(place) {
                Some(self.look(here, &aside))
            } else if place == LOST || place == POURED {
                let drawn = drawn.get_or_insert_with(|| self.simulate(&aside).ok());
                drawn.as_ref().map(|simulated| self.look(simulated, &aside))
            } else {
                self.simulate(&aside).map(|simulated| self.look(&simulated, &aside)).ok()
            };
            let flat =
                || Look { residuals: vec![0.0; look.residuals.len()], told: Told::default() };
            there.map_or_else(flat, |there| {
                let slope = |after: f64, before: f64| (after - before) / step;
                let pairs = there.residuals.iter().zip(&look.residuals);
                let (a, b) = (there.told, look.told);
                Look {
                    residuals: pairs.map(|(after, before)| slope(*after, *before)).collect(),
                    told: Told {
                        pot_l: slope(a.pot_l, b.pot_l),
                        held_l: slope(a.held_l, b.held_l),
                        residue_l: slope(a.residue_l, b.residue_l),
                        lost_l: slope(a.lost_l, b.lost_l),
                    },
                }
            })
        };
        (0..ALL).map(one).collect()
    }

    /// Down from `start` to the likeliest unknowns under wide beliefs, and everything there in
    /// straight lines.
    fn descend(&self, start: Vector, sound: &[Spread; ALL]) -> Whole {
        let mut theta = start;
        let empty = Simulated { track: still::track::Track::default(), ends: None };
        let mut here = self.simulate(&theta).unwrap_or(empty);
        let mut look = self.look(&here, &theta);
        let mut slopes = self.slopes(&theta, &here, &look);
        let mut kept = false;
        for round in 0..ROUNDS {
            let width = WIDTHS.get(round).copied().unwrap_or(1.0);
            let step = self.newton(&theta, &look, &slopes, width);
            let mut value = cost(&look.residuals, &self.z(&theta), width);
            let before = value;
            let mut whole = false;
            for share in SHARES {
                let mut trial = theta + share * step;
                trial[LOST] = trial[LOST].min(LOST_MOST);
                let Ok(simulated) = self.simulate(&trial) else { continue };
                let there = self.look(&simulated, &trial);
                let cost = cost(&there.residuals, &self.z(&trial), width);
                if cost < value {
                    (theta, here, look, value) = (trial, simulated, there, cost);
                    whole = share == 1.0;
                    break;
                }
            }
            if before - value < SETTLED && width <= 1.0 {
                break;
            }
            // After a whole step the slopes hold for one more, near the floor and while it is vague.
            kept = !kept && whole && (width > 1.0 || before - value < NEAR_FLOOR);
            if !kept {
                slopes = self.slopes(&theta, &here, &look);
            }
        }
        let (squares, pull) = sums(&look.residuals, &slopes, 1.0);
        let weighted = look.residuals.iter().map(|r| weight(*r, 1.0).min(1.0) * r * r);
        let straight = |of: fn(&Told) -> f64| Straight {
            value: of(&look.told),
            slope: Vector::from_fn(|place, _| of(&slopes[place].told)),
        };
        Whole {
            theta,
            sound: *sound,
            squares,
            pull,
            rest: weighted.sum(),
            pot: straight(|told| told.pot_l),
            held: straight(|told| told.held_l),
            residue: straight(|told| told.residue_l),
            lost: straight(|told| told.lost_l),
        }
    }

    fn newton(&self, theta: &Vector, look: &Look, slopes: &[Look], width: f64) -> Vector {
        let (mut matrix, mut right) = sums(&look.residuals, slopes, width);
        for place in 0..ALL {
            let Spread { mean, sd } = self.wide[place];
            matrix[(place, place)] += 1.0 / (sd * sd);
            right[place] += (theta[place] - mean) / (sd * sd);
        }
        matrix.cholesky().map_or_else(Vector::zeros, |lower| -lower.solve(&right))
    }
}

/// What jars show of what was drawn.
fn condensed(theta: &Vector) -> f64 {
    (1.0 - theta[LOST].min(LOST_MOST)) * theta[POURED].exp()
}

/// Slopes by slopes and slopes by residuals, weighted for outliers.
fn sums(residuals: &[f64], slopes: &[Look], width: f64) -> (Square, Vector) {
    let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, width).min(1.0)).collect();
    let dot = |a: &[f64], b: &[f64]| -> f64 {
        a.iter().zip(b).zip(&weights).map(|((a, b), w)| a * b * w).sum()
    };
    let of = |place: usize| slopes[place].residuals.as_slice();
    let matrix = Square::from_fn(|i, j| dot(of(i), of(j)));
    (matrix, Vector::from_fn(|i, _| dot(of(i), residuals)))
}
