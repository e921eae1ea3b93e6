//! The balance of pure alcohol of a run that is over, from what was really gauged.

mod causes;
mod gauged;
mod tell;
mod whole;

use sense::RecordedRun;
use still::plan::RunPlan;

use super::balance::{Account, AlcoholBalance, Cause, Verdict};
use super::believe::Beliefs;
use super::hypotheses::Weighed;
use super::measured::Measured;
use super::seen::Seen;
use causes::{Causes, weigh};
use gauged::Gauged;
use whole::Whole;

/// Least of a charge's litres and strength that a stated spread leaves open, relative (judgement: a
/// steel rule and a hydrometer).
const CHARGE_LEAST: f64 = 0.008;
/// What is assumed where none is stated, relative (as the fit does).
const LITRES_USUAL: f64 = 0.02;
const STRENGTH_USUAL: f64 = 0.03;
/// Doubt of what is missing, as a share of the charge, from which on nothing can be told, and the
/// share of what was drawn that must be gauged at least (judgement).
const TELLS_UNDER: f64 = 0.08;
const GAUGED_LEAST: f64 = 0.5;

/// How much vapour this still is believed to lose, share of the charge's alcohol: mean and spread.
pub(super) type Losing = gauged::Doubtful;

/// What a balance found out.
pub(super) struct Found {
    pub(super) balance: AlcoholBalance,
    /// Vapour lost after the run, share of the charge's alcohol: mean and spread; only where the
    /// residue was gauged.
    pub(super) losing: Option<Losing>,
}

/// The balance of a run that was fitted.
pub(super) fn balance(
    plan: &RunPlan,
    rows: &RecordedRun,
    seen: &Seen,
    best: &Weighed<'_>,
    sound: &Beliefs,
    measured: &Measured,
    losing: Losing,
) -> Found {
    let charged_l = plan.charge.litres * plan.charge.strength_vol / 100.0;
    let gauged = Gauged::of(rows, &best.fit.best.track, seen.now_s);
    let whole = Whole::fitted(plan, seen, best, sound, measured, &gauged);
    let mut causes = weigh(&whole, plan, losing, seen.coolant_loss.is_some());
    let left = gauged.residue_l.map_or(causes.left, |residue| {
        // What drains back later, or stays in column and condenser, is in no residue.
        (residue.0 + causes.stays.0, residue.1.hypot(causes.stays.1))
    });
    let missing_l = charged_l - gauged.collected.0 - left.0 - gauged.open.0;
    let charge = &plan.charge;
    let sd = |stated: Option<f64>, value: f64, usual: f64| {
        stated.map_or(usual, |sd| sd / value).max(CHARGE_LEAST)
    };
    let charge_sd = sd(charge.litres_sd, charge.litres, LITRES_USUAL).hypot(sd(
        charge.strength_sd,
        charge.strength_vol,
        STRENGTH_USUAL,
    ));
    let doubts = [charge_sd * charged_l, gauged.collected.1, left.1, gauged.open.1];
    let missing_sd_l = doubts.iter().fold(0.0_f64, |sum, doubt| sum.hypot(*doubt)).max(1e-4);
    let sds = missing_l / missing_sd_l;
    causes::held_against(&mut causes.list, sds, gauged.residue_l.is_some());
    let drawn_l = gauged.collected.0 + gauged.open.0;
    let told = missing_sd_l <= TELLS_UNDER * charged_l
        && gauged.collected.0 >= GAUGED_LEAST * drawn_l
        && gauged.collected.0 > 0.0;
    let verdict =
        if told { verdict(missing_l, missing_sd_l, &causes.list) } else { Verdict::CannotTell };
    let Causes { list, lost, .. } = &causes;
    let account = Account {
        verdict,
        not_gauged_l: gauged.open.0,
        residue_gauged: gauged.residue_l.is_some(),
        vapour_lost_l: lost.0 * charged_l,
        parts: gauged.parts(left, causes.stays),
        tells_most: tell::most(&causes, &gauged, verdict),
    };
    let losing = gauged.residue_l.filter(|_| told).map(|_| *lost);
    let balance = AlcoholBalance {
        charged_l,
        collected_l: gauged.collected.0,
        left_l: left.0,
        missing_l,
        missing_sd_l,
        causes: list.clone(),
        account: Some(account),
    };
    Found { balance, losing }
}

/// What is said of that much missing, of that doubt: it does not add up where it is far, nor where a
/// cause that makes alcohol go missing is as good as certain.
fn verdict(missing_l: f64, sd_l: f64, causes: &[Cause]) -> Verdict {
    let certain = causes.first().is_some_and(|cause| {
        let gone =
            ["reading_error", "vapour_lost", "charge_not_as_stated"].contains(&cause.code.as_str());
        gone && cause.odds >= tell::SETTLED
    });
    let far = if certain { 0.0 } else { causes::FAR_SD * sd_l };
    if missing_l > far {
        Verdict::Missing
    } else if missing_l < -far {
        Verdict::TooMuch
    } else {
        Verdict::AddsUp
    }
}
