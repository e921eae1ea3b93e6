//! The balance sheet of pure alcohol of a run that is over, and the likeliest cause of a gap.

use still::plan::RunPlan;

use super::balance::{AlcoholBalance, Cause};
use super::believe::{GLASS, LITRES, STRENGTH};
use super::hypotheses::Weighed;
use super::problem::unknowns;
use super::seen::Seen;

/// Volume and strength of a jar, as sure as a measuring jug and an alcoholometer make them.
const COLLECTED_SD: f64 = 0.012;
/// A charge that was gauged wrongly is off by this much, relative.
const WRONG_CHARGE: f64 = 0.12;
/// Jars that were all read wrongly are off by this much, relative.
const WRONG_JARS: f64 = 0.03;
/// A share of the charge's alcohol that leaves as vapour where the coolant fails.
const LOST_SHARE: f64 = 0.03;
/// Belief in each cause before the sheet is looked at.
const NOTHING: f64 = 0.7;
const CHARGE: f64 = 0.12;
const JARS: f64 = 0.08;
const HELD: f64 = 0.07;
const LOST: f64 = 0.03;
const LOST_AFTER_COOLANT: f64 = 0.4;

/// The sheet of a run; `wrong_charge` is how far its fit believes in a wrongly stated charge.
pub(super) fn balance(
    plan: &RunPlan,
    seen: &Seen,
    best: &Weighed<'_>,
    wrong_charge: f64,
) -> AlcoholBalance {
    let charge = &plan.charge;
    let charged_l = charge.litres * charge.strength_vol / 100.0;
    let at = unknowns(best.model.beliefs, &best.fit.z);
    let points = &best.fit.best.track.points;
    let last = points.iter().rev().find(|point| point.time_s <= seen.now_s);
    let (collected_l, left_l) = match (points.first(), last) {
        (Some(first), Some(last)) => {
            let (litres, vol) = last.drawn_since(first);
            let simulated_l = litres * vol / 100.0;
            let fitted_l = charged_l * (at[LITRES] + at[STRENGTH]).exp();
            // Jars that read high or low over the fit have that much more or less in them.
            let read = litres * at[GLASS] / 100.0;
            (simulated_l + read, (fitted_l - simulated_l).max(0.0))
        }
        _ => (0.0, charged_l),
    };
    let missing_l = charged_l - collected_l - left_l;
    let sd = |stated: Option<f64>, value: f64| stated.map_or(0.02, |sd| sd / value);
    let charge_sd = charged_l
        * sd(charge.litres_sd, charge.litres).hypot(sd(charge.strength_sd, charge.strength_vol));
    let missing_sd_l = charge_sd.hypot(COLLECTED_SD * collected_l);
    let held_l = plan.still.holdup_litres * held_share(plan);
    let causes = causes(&Gap {
        missing_l,
        sd_l: missing_sd_l.max(1e-4),
        charged_l,
        collected_l,
        held_l,
        coolant_lost: seen.coolant_lost.is_some(),
        wrong_charge,
    });
    AlcoholBalance { charged_l, collected_l, left_l, missing_l, missing_sd_l, causes }
}

/// Pure alcohol in a litre of hold-up at the end: the column then holds weak spirit.
fn held_share(plan: &RunPlan) -> f64 {
    plan.steps.iter().rev().find_map(|step| step.until_strength_vol).unwrap_or(40.0) / 100.0
}

struct Gap {
    missing_l: f64,
    sd_l: f64,
    charged_l: f64,
    collected_l: f64,
    held_l: f64,
    coolant_lost: bool,
    wrong_charge: f64,
}

/// Density of a normal, up to the same constant for all.
fn density(value: f64, sd: f64) -> f64 {
    (-0.5 * (value / sd).powi(2)).exp() / sd
}

fn causes(gap: &Gap) -> Vec<Cause> {
    let wide = |own: f64| density(gap.missing_l, gap.sd_l.hypot(own));
    let lost_scale = LOST_SHARE * gap.charged_l;
    // Vapour can only go missing: the gap must be positive, by the size of a loss.
    let lost = density(gap.missing_l - lost_scale, gap.sd_l.hypot(0.7 * lost_scale));
    let lost_prior = if gap.coolant_lost { LOST_AFTER_COOLANT } else { LOST };
    let charge_prior = CHARGE + gap.wrong_charge;
    let all = [
        (
            "nothing_missing",
            "Nothing is missing: the gap is within what gauging and measuring leave open.",
            NOTHING * density(gap.missing_l, gap.sd_l),
        ),
        (
            "charge_not_as_stated",
            "The charge held less or more alcohol than stated.",
            charge_prior * wide(WRONG_CHARGE * gap.charged_l),
        ),
        (
            "reading_error",
            "Jars were measured or read wrongly, all in one direction.",
            JARS * wide(WRONG_JARS * gap.collected_l),
        ),
        (
            "held_back",
            "Column and condenser kept more liquid than reckoned.",
            HELD * wide(0.7 * gap.held_l),
        ),
        ("vapour_lost", "Vapour left uncondensed: look at the coolant.", lost_prior * lost),
    ];
    let sum: f64 = all.iter().map(|(_, _, odds)| odds).sum();
    let mut causes: Vec<Cause> = all
        .into_iter()
        .map(|(code, text, odds)| Cause {
            code: code.to_owned(),
            text: text.to_owned(),
            odds: odds / sum.max(1e-300),
        })
        .collect();
    causes.sort_by(|a, b| b.odds.total_cmp(&a.odds));
    causes
}
