//! What a run that is over teaches: the still's traits after it, and where the alcohol went.
//!
//! The traits come from the fit to the whole run, with charge and measurements uncertain as in any
//! other fit: what a wrongly stated charge explains is not laid at the still's door. The yield is
//! learned from how far the hearts missed what was foreseen at half of them, and only by its share
//! of that forecast's doubt.

use still::Cancel;
use still::plan::{RunPlan, StillKind};

use super::account;
use super::balance::AlcoholBalance;
use super::believe::{Beliefs, HEATER, Moves, UNKNOWNS, YIELD, traits};
use super::character::{Belief, Character, Learned, Trait};
use super::counted::{Changes, Counted};
use super::foresight::hearts_so_far;
use super::habits::Habits;
use super::hypotheses::{Weighed, all_beliefs, weigh};
use super::measured::Measured;
use super::past::inputs;
use super::present::{ROUNDS, floors};
use super::seen::Seen;
use super::{Lesson, Settings, estimate};
use crate::error::EstimateError;
use sense::RecordedRun;

/// Vapour that a small open still loses until it has shown its own: share of the charge's alcohol,
/// mean and spread (judgement: about a tenth was missing in the small rigs that were measured, 13 %
/// in a flask of 0.6 L).
const LOSING: (f64, f64) = (0.08, 0.06);
/// Spread of a loss that its owner states.
const STATED_SD: f64 = 0.03;
/// How what a still loses as vapour moves from run to run, and the spread that learning may not go
/// below (judgement: coolant and weather differ).
const VAPOUR_MOVES: Moves = Moves { drift: 0.015, least: 0.015 };
/// Share of the hearts at which the forecast is compared with what came.
const HALF: f64 = 0.5;
/// A miss of more than this many standard deviations teaches no more than this many.
const MISS_MOST: f64 = 2.0;
/// What a run tells about a trait counts as nothing beyond this many times the earlier spread.
const TELLS_NOTHING: f64 = 10.0;

/// A run that is over, fitted to its end.
struct Fitted<'a> {
    plan: &'a RunPlan,
    rows: &'a RecordedRun,
    seen: &'a Seen,
    sound: &'a Beliefs,
    all: &'a [Weighed<'a>],
    best: &'a Weighed<'a>,
    measured: &'a Measured,
}

/// Fits a run to its end, and then asks it.
fn fitted_whole<T>(
    plan: &RunPlan,
    rows: &RecordedRun,
    known: Option<&Character>,
    then: impl FnOnce(&Fitted<'_>) -> T,
) -> Result<T, EstimateError> {
    plan.check()?;
    let seen = Seen::of(plan, rows, rows.last_s());
    let inputs = inputs(plan, &seen, Habits::of(plan.still.kind, known));
    let sound = Beliefs::of(plan, known, inputs.metered);
    let beliefs = all_beliefs(&sound);
    let (all, measured, _) = weigh(plan, &seen, &inputs, &beliefs, None, ROUNDS, &Cancel::never())?;
    let (seen, sound, all, measured) = (&seen, &sound, &all[..], &measured);
    Ok(then(&Fitted { plan, rows, seen, sound, all, best: &all[0], measured }))
}

fn told(character: &Character) -> Option<&Character> {
    (!character.beliefs.is_empty()).then_some(character)
}

/// Where the alcohol of a run went, of a still that was like this before it.
pub(super) fn balance(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
) -> Result<AlcoholBalance, EstimateError> {
    let known = told(before);
    let losing = losing(known, plan.still.vapour_lost);
    fitted_whole(plan, rows, known, |fitted| fitted.balance(losing).balance)
}

/// The lesson of a run.
pub(super) fn learn(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
    settings: Settings,
    changes: Changes,
) -> Result<Lesson, EstimateError> {
    let known = told(before);
    let taught = |fitted: &Fitted<'_>| fitted.lesson(before, known, settings, changes);
    fitted_whole(plan, rows, known, taught)
}

impl Fitted<'_> {
    fn balance(&self, losing: (f64, f64)) -> account::Found {
        let Self { plan, rows, seen, sound, best, measured, .. } = *self;
        account::balance(plan, rows, seen, best, sound, measured, losing)
    }

    fn lesson(
        &self,
        before: &Character,
        known: Option<&Character>,
        settings: Settings,
        changes: Changes,
    ) -> Lesson {
        let (plan, best) = (self.plan, self.best);
        let traits = traits(plan.still.kind);
        let mut after = Vec::with_capacity(traits.len());
        let mut run = Vec::with_capacity(traits.len());
        let missed = missed(plan, self.rows, known, best, settings);
        for (of, place, moves) in traits {
            let prior = self.sound.of[place];
            let (mean, sd) = match (place, missed) {
                (YIELD, Some(miss)) => updated(prior.mean, prior.sd, miss),
                // A heater that gave less in this run is no trait: what it gave before is.
                (HEATER, _) if best.model.weakened.is_some() => {
                    (best.model.weakened.map_or(prior.mean, |weak| weak.before), prior.sd)
                }
                _ => fitted(best, place),
            };
            after.push(Belief { of, mean, sd: sd.max(moves.least) });
            run.push(alone(of, (prior.mean, prior.sd), (mean, sd)));
        }
        let losing = losing(known, plan.still.vapour_lost);
        let found = self.balance(losing);
        // Only a residue that was gauged says what did not come and did not stay.
        let now = kept(found.losing.unwrap_or(losing));
        after.push(Belief { sd: now.sd.max(VAPOUR_MOVES.least), ..now });
        let prior = kept(losing);
        run.push(alone(Trait::VapourLost, (prior.mean, prior.sd), (now.mean, now.sd)));
        let mut character = Character { beliefs: after.clone(), history: before.history.clone() };
        let (title, start) = (plan.title.clone(), plan.start.clone());
        let counted = Some(Counted::of(plan, self.seen, self.all, changes));
        character.history.push(Learned { title, start, run, after, counted });
        Lesson { character, balance: found.balance }
    }
}

/// What the still is believed to lose as vapour, share of the charge's alcohol: mean and spread.
fn losing(known: Option<&Character>, stated: Option<f64>) -> (f64, f64) {
    let Some(belief) = known.and_then(|known| known.belief(Trait::VapourLost)) else {
        return stated.map_or(LOSING, |lost| (lost, STATED_SD));
    };
    let sd = belief.sd.hypot(VAPOUR_MOVES.drift).max(VAPOUR_MOVES.least);
    let kept = belief.mean.exp();
    ((1.0 - kept).max(0.0), (sd * kept).min(LOSING.1))
}

/// The trait of such a loss.
fn kept((lost, sd): (f64, f64)) -> Belief {
    let kept = (1.0 - lost).clamp(0.5, 1.0);
    Belief { of: Trait::VapourLost, mean: kept.ln(), sd: sd / kept }
}

fn fitted(best: &Weighed<'_>, place: usize) -> (f64, f64) {
    let own = best.model.beliefs.of[place];
    let variance = best.fit.covariance[place * UNKNOWNS + place].max(0.0);
    (own.mean + own.sd * best.fit.z[place], own.sd * variance.sqrt())
}

/// How far ln litres of hearts came out over what was foreseen, and the forecast's spread.
fn missed(
    plan: &RunPlan,
    rows: &RecordedRun,
    known: Option<&Character>,
    best: &Weighed<'_>,
    settings: Settings,
) -> Option<(f64, f64)> {
    // What a pot yields is ruled by its strength limit: its losses and its head say all there is.
    if plan.still.kind == StillKind::Pot {
        return None;
    }
    let ends = best.fit.best.ends?;
    let (hearts_s, end) = (ends.hearts_s?, ends.hearts.filter(|end| end.reached)?);
    let at_s = (hearts_s + HALF * (end.time_s - hearts_s)).floor();
    let foreseen = estimate(plan, rows, at_s, known, settings).ok()?.end?.litres;
    let came = hearts_so_far(&best.fit.best, end.time_s)?.litres_20c;
    let sd = ((foreseen.p90 / foreseen.p10).ln() / 2.563).max(floors(plan).litres);
    Some(((came / foreseen.p50).ln(), sd))
}

/// A belief after a miss that is its own share and everything else's.
fn updated(mean: f64, sd: f64, (miss, spread): (f64, f64)) -> (f64, f64) {
    let share = (sd * sd / (spread * spread)).min(0.9);
    let miss = miss.clamp(-MISS_MOST * spread, MISS_MOST * spread);
    (mean + share * miss, sd * (1.0 - share).sqrt())
}

/// What the run alone says: the belief after it with the belief before it taken out.
fn alone(
    of: super::character::Trait,
    (mean, sd): (f64, f64),
    (after_mean, after_sd): (f64, f64),
) -> Belief {
    let precision = 1.0 / (after_sd * after_sd) - 1.0 / (sd * sd);
    let least = 1.0 / (TELLS_NOTHING * sd).powi(2);
    if precision <= least {
        return Belief { of, mean: after_mean, sd: TELLS_NOTHING * sd };
    }
    let own = (after_mean / (after_sd * after_sd) - mean / (sd * sd)) / precision;
    Belief { of, mean: own, sd: precision.sqrt().recip() }
}
