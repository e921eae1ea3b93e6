//! The causes of a gap, each weighed by how well it explains everything that was gauged.

use still::plan::RunPlan;

use super::gauged::Doubtful;
use super::whole::{ALL, DRAINED, LOST, POURED, READ, Square, Straight, Vector, Whole};
use crate::balance::Cause;
use crate::believe::{HOLD_UP, LITRES, STRENGTH, Spread};

/// Belief in each cause before the balance is looked at (judgement; vapour goes missing in about
/// every small rig that was measured, most often in part).
const NOTHING: f64 = 0.45;
const CHARGE_STRENGTH: f64 = 0.09;
const CHARGE_LITRES: f64 = 0.06;
const GLASS: f64 = 0.1;
const JUG: f64 = 0.02;
const HELD: f64 = 0.04;
const LOSES: f64 = 0.24;
const LOSES_AFTER_COOLANT: f64 = 1.5;
/// A loss that is believed to be smaller is believed in less, share of the charge's alcohol.
const HARDLY: f64 = 0.03;
/// A charge stated wrongly is off by this much, relative; all jars read wrongly by this much.
const WRONG_CHARGE: f64 = 0.12;
const WRONG_GLASS: f64 = 0.065;
const WRONG_JUG: f64 = 0.05;
/// A hold-up that was reckoned wrongly, ln, and what of it then drains.
const WRONG_HOLD_UP: f64 = 0.9;
const WRONG_DRAINED: f64 = 0.5;
/// Alcohol left from which on the residue counts as not run out, share of the charge's (judgement:
/// a run that goes through its tails leaves less).
const RUN_OUT: f64 = 0.2;
/// Where what is left cannot be told sharply, relative to that.
const RUN_OUT_SD: f64 = 0.01;

/// A gap of so many standard deviations is beyond what gauging leaves open, and odds that a cause which
/// can explain it keeps (judgement).
pub(super) const FAR_SD: f64 = 2.0;
const ODDS_LEAST: f64 = 1e-6;
/// Share of the charge's alcohol that counts as drawn at least.
const DRAWN_LEAST: f64 = 0.2;

/// One explanation with what it makes of the unknowns.
pub(super) struct Explained {
    pub(super) code: &'static str,
    pub(super) odds: f64,
    mean: Vector,
    covariance: Square,
}

/// All explanations.
pub(super) struct Causes {
    /// As they are told, likeliest first.
    pub(super) list: Vec<Cause>,
    pub(super) all: Vec<Explained>,
    /// Left in boiler and column as the fit has it, litres of pure alcohol.
    pub(super) left: Doubtful,
    /// Held and not drained into the residue.
    pub(super) stays: Doubtful,
    /// Lost as vapour, share of the charge's alcohol.
    pub(super) lost: Doubtful,
    pub(super) residue: Straight,
    theta: Vector,
}

impl Causes {
    /// A value under one explanation: mean and standard deviation.
    pub(super) fn under(&self, of: &Explained, value: &Straight) -> Doubtful {
        under(of, value, &self.theta)
    }
}

fn under(of: &Explained, value: &Straight, theta: &Vector) -> Doubtful {
    let mean = value.value + value.slope.dot(&(of.mean - theta));
    (mean, (value.slope.transpose() * of.covariance * value.slope)[0].max(0.0).sqrt())
}

/// Normal distribution up to `z`, by the logistic curve that lies within 0.01 of it.
fn up_to(z: f64) -> f64 {
    1.0 / (1.0 + (-1.702 * z).exp())
}

type Changes = Vec<(usize, Spread)>;

/// Weighs one explanation: ln of its evidence up to a constant, and the unknowns under it.
fn explained(whole: &Whole, changes: &Changes) -> (f64, Vector, Square) {
    let mut beliefs = whole.sound;
    for &(place, spread) in changes {
        beliefs[place] = spread;
    }
    let precise = |place: usize| 1.0 / (beliefs[place].sd * beliefs[place].sd);
    let mean = Vector::from_fn(|place, _| beliefs[place].mean);
    let own = Square::from_diagonal(&Vector::from_fn(|place, _| precise(place)));
    let Some(lower) = (whole.squares + own).cholesky() else {
        return (f64::NEG_INFINITY, whole.theta, Square::zeros());
    };
    let away = whole.theta - mean;
    let step = -lower.solve(&(whole.pull + own * away));
    let there = away + step;
    let misfit = whole.rest
        + 2.0 * whole.pull.dot(&step)
        + step.dot(&(whole.squares * step))
        + there.dot(&(own * there));
    // Determinant of prior precision and measurements over that of the prior.
    let whole_ln: f64 = (0..ALL).map(|i| 2.0 * lower.l_dirty()[(i, i)].ln()).sum();
    let own_ln: f64 = (0..ALL).map(|i| precise(i).ln()).sum();
    (-0.5 * (misfit + whole_ln - own_ln), whole.theta + step, lower.inverse())
}

fn hypotheses(
    whole: &Whole,
    charged_l: f64,
    losing: Doubtful,
    coolant_lost: bool,
) -> Vec<(&'static str, f64, Changes)> {
    let at = |place: usize, sd: f64| (place, Spread { mean: whole.sound[place].mean, sd });
    // A still that is known to lose next to nothing is hardly blamed.
    let share = (losing.0 / HARDLY).min(1.0);
    let loses = if coolant_lost { LOSES_AFTER_COOLANT } else { LOSES * share };
    // Believed as a share of the charge's alcohol, let free as a share of what was drawn.
    let drawn = whole.lost.slope[LOST].max(DRAWN_LEAST * charged_l) / charged_l;
    let lost = Spread { mean: losing.0 / drawn, sd: losing.1 / drawn };
    vec![
        ("nothing_missing", NOTHING, vec![]),
        ("charge_not_as_stated", CHARGE_STRENGTH, vec![at(STRENGTH, WRONG_CHARGE)]),
        ("charge_not_as_stated", CHARGE_LITRES, vec![at(LITRES, WRONG_CHARGE)]),
        ("reading_error", GLASS, vec![at(READ, WRONG_GLASS)]),
        ("reading_error", JUG, vec![at(POURED, WRONG_JUG)]),
        ("held_back", HELD, vec![at(HOLD_UP, WRONG_HOLD_UP), at(DRAINED, WRONG_DRAINED)]),
        ("vapour_lost", loses, vec![(LOST, lost)]),
    ]
}

/// Weighs all explanations.
pub(super) fn weigh(whole: &Whole, plan: &RunPlan, losing: Doubtful, coolant_lost: bool) -> Causes {
    let charged_l = plan.charge.litres * plan.charge.strength_vol / 100.0;
    let mut all = Vec::new();
    let mut logs = Vec::new();
    for (code, prior, changes) in hypotheses(whole, charged_l, losing, coolant_lost) {
        let (mut log, mean, covariance) = explained(whole, &changes);
        if code == "vapour_lost" {
            // Vapour is never gained: only what lies over nothing counts.
            let sd = covariance[(LOST, LOST)].max(1e-12).sqrt();
            log += (up_to(mean[LOST] / sd) / up_to(losing.0 / losing.1)).max(1e-12).ln();
        }
        logs.push(log + prior.max(1e-9).ln());
        all.push(Explained { code, odds: 0.0, mean, covariance });
    }
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|log| (log - most).exp()).sum();
    for (one, log) in all.iter_mut().zip(&logs) {
        one.odds = (log - most).exp() / sum;
    }
    let mixed = |value: &Straight| {
        let each: Vec<(f64, Doubtful)> =
            all.iter().map(|one| (one.odds, under(one, value, &whole.theta))).collect();
        let mean: f64 = each.iter().map(|(odds, found)| odds * found.0).sum();
        let square =
            |(odds, found): &(f64, Doubtful)| odds * (found.1.powi(2) + (found.0 - mean).powi(2));
        (mean, each.iter().map(square).sum::<f64>().sqrt())
    };
    let (pot, held) = (whole.pot, whole.held);
    let together = Straight { value: pot.value + held.value, slope: pot.slope + held.slope };
    let stays = Straight {
        value: together.value - whole.residue.value,
        slope: together.slope - whole.residue.slope,
    };
    let left = mixed(&together);
    let lost = mixed(&whole.lost);
    let list = told(&all, mixed(&pot), charged_l);
    Causes {
        list,
        left: (left.0.max(0.0), left.1),
        stays: {
            let stays = mixed(&stays);
            (stays.0.max(0.0), stays.1)
        },
        lost: (lost.0.max(0.0) / charged_l, lost.1 / charged_l),
        residue: whole.residue,
        theta: whole.theta,
        all,
    }
}

/// What a gap so many standard deviations wide says of the causes: far beyond what gauging leaves open
/// it is not nothing, whatever the fit made of a gauging that it could not follow; and what only takes
/// alcohol away makes none.
pub(super) fn held_against(list: &mut [Cause], sds: f64, residue_gauged: bool) {
    if sds.abs() <= FAR_SD {
        return;
    }
    let factor = (-0.5 * (sds * sds - FAR_SD * FAR_SD)).exp();
    for cause in &mut *list {
        let fits_not = match cause.code.as_str() {
            "nothing_missing" => true,
            "left_in_boiler" => sds < 0.0 || residue_gauged,
            "vapour_lost" | "held_back" => sds < 0.0,
            _ => false,
        };
        cause.odds = if fits_not { cause.odds * factor } else { cause.odds.max(ODDS_LEAST) };
    }
    let sum: f64 = list.iter().map(|cause| cause.odds).sum();
    for cause in &mut *list {
        cause.odds /= sum;
    }
    list.sort_by(|a, b| b.odds.total_cmp(&a.odds));
}

/// The causes as they are told. Where nothing is wrong and much is left, that is where it is.
fn told(all: &[Explained], left: Doubtful, charged_l: f64) -> Vec<Cause> {
    let odds =
        |code: &str| all.iter().filter(|one| one.code == code).map(|one| one.odds).sum::<f64>();
    let doubt = left.1.hypot(RUN_OUT_SD * charged_l);
    let not_run_out = up_to((left.0 - RUN_OUT * charged_l) / doubt.max(1e-9));
    let nothing = odds("nothing_missing");
    let all = [
        (
            "nothing_missing",
            "Nothing is missing: the gap is within what gauging and measuring leave open.",
            nothing * (1.0 - not_run_out),
        ),
        (
            "left_in_boiler",
            "The residue was not run out: what was not collected is still in the boiler.",
            nothing * not_run_out,
        ),
        (
            "charge_not_as_stated",
            "The charge held less or more alcohol than stated.",
            odds("charge_not_as_stated"),
        ),
        (
            "reading_error",
            "Jars were measured or read wrongly, all in one direction.",
            odds("reading_error"),
        ),
        ("held_back", "Column and condenser kept more liquid than reckoned.", odds("held_back")),
        (
            "vapour_lost",
            "Vapour left uncondensed: look at the coolant, the joints and the vent.",
            odds("vapour_lost"),
        ),
    ];
    let mut causes: Vec<Cause> = all
        .into_iter()
        .map(|(code, text, odds)| Cause { code: code.to_owned(), text: text.to_owned(), odds })
        .collect();
    causes.sort_by(|a, b| b.odds.total_cmp(&a.odds));
    causes
}
