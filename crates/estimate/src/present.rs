//! One estimate from start to end: what was seen, inputs, beliefs, fit, bands.

use std::sync::Arc;

use still::Cancel;
use still::plan::{RunPlan, StepKind, StillKind};

use super::Settings;
use super::believe::{Beliefs, LITRES, STRENGTH};
use super::character::Character;
use super::draws::{DRAWS, Normal};
use super::end_draws::{EndDraws, bands};
use super::factors::{EndFactors, Possible, RunKind, end_factors};
use super::foresee::STRONGEST_VOL;
use super::foresight::{Floors, Foresight, hearts_so_far};
use super::habits::Habits;
use super::hypotheses::{AllKept, Weighed, all_beliefs, weigh};
use super::measured::Measured;
use super::model::{ChangeOver, Reach, Simulated, Unknowns};
use super::outlook::{EndForecast, Evidence, Outlook};
use super::past::inputs;
use super::problem::unknowns;
use super::read_so_far::ReadSoFar;
use super::seen::Seen;
use super::strength::put_right;
use super::surer::{column_worth, shares, would_help};
use crate::error::EstimateError;
use quantities::Band;
use sense::RecordedRun;

/// Steps of a cold fit.
pub(super) const ROUNDS: usize = 8;

/// Model error that no run has shown to be smaller.
pub(super) fn floors(plan: &RunPlan) -> Floors {
    match plan.still.kind {
        StillKind::Pot => Floors { litres: 0.008, rate: 0.03, strength_vol: 0.3 },
        StillKind::Column => Floors { litres: 0.017, rate: 0.03, strength_vol: 0.25 },
    }
}

/// What the next estimate goes on from.
#[derive(Debug, Clone, PartialEq)]
pub struct Warm {
    kept: AllKept,
    read: Arc<ReadSoFar>,
}

/// An estimate: cold without `warm`, else one step on from there.
///
/// # Errors
/// [`EstimateError`] for a plan that breaks a rule, a still that cannot be simulated, or when it is
/// cancelled.
pub fn estimate(
    plan: &RunPlan,
    rows: &RecordedRun,
    at_s: f64,
    character: Option<&Character>,
    settings: Settings,
    warm: Option<&Warm>,
    cancel: &Cancel,
) -> Result<(Outlook, Warm), EstimateError> {
    plan.check()?;
    let (seen, read) = Seen::on(warm.map(|warm| &warm.read), plan, rows, at_s);
    let inputs = inputs(plan, &seen, Habits::of(plan.still.kind, character));
    let beliefs = all_beliefs(&Beliefs::of(plan, character, inputs.metered));
    let rounds = if settings.update { ROUNDS } else { 0 };
    let from = warm.map(|warm| &warm.kept);
    let (all, measured, kept) = weigh(plan, &seen, &inputs, &beliefs, from, rounds, cancel)?;
    let present = Present { all: &all, measured: &measured, seen: &seen, settings };
    Ok((present.outlook(), Warm { kept, read }))
}

/// Fitted hypotheses, the likeliest first, with everything they were made from.
pub(super) struct Present<'a> {
    pub(super) all: &'a [Weighed<'a>],
    pub(super) measured: &'a Measured,
    pub(super) seen: &'a Seen,
    pub(super) settings: Settings,
}

/// A strength with a spread: never above what a still can give.
fn banded_vol(vol: f64, sd: f64) -> Band {
    Band::from_array(Band::SCORES.map(|score| (vol + score * sd).clamp(0.0, STRONGEST_VOL)))
}

fn banded(value: f64, sd: f64) -> Band {
    Band::from_array(Band::SCORES.map(|score| (value + score * sd).max(0.0)))
}

impl Present<'_> {
    fn outlook(&self) -> Outlook {
        let (now_s, best) = (self.seen.now_s, &self.all[0]);
        let (plan, fit) = (best.model.plan, &best.fit);
        let mut normal = Normal::seeded(self.settings.seed);
        let by = if self.settings.learned {
            end_factors(RunKind::of(plan))
        } else {
            EndFactors::AS_DRAWN
        };
        let (mut hearts, mut own) = (EndDraws::default(), EndDraws::default());
        let mut first = None;
        for weighed in self.all {
            let floors = floors(plan);
            let count = weighed.draws();
            let sight =
                Foresight::new(&weighed.model, &weighed.fit, now_s, floors, count, &mut normal)
                    .put_right(self.seen.hearts_jars_l(), self.stronger(weighed).0);
            hearts.take(sight.draw(|s| s.ends?.hearts, &by, None, &mut normal));
            own.take(sight.draw(|s| s.ends?.plan, &by, self.latest_s(), &mut normal));
            first.get_or_insert(sight);
        }
        let Some(sight) = first else { unreachable!("the likeliest hypothesis is always kept") };
        let [end, plan_end] =
            [(&hearts, None), (&own, self.latest_s())].map(|(draws, latest_s)| {
                let end = bands(draws)?;
                let most_l = sight.most_litres(end.strength_vol.p50);
                let possible = Possible { now_s, latest_s, drawn_l: sight.drawn_l, most_l };
                Some(possible.moved(end, &by))
            });
        let alcohol = |s: &Simulated| s.track.at(now_s).map(|at| at.pot_alcohol_l());
        let pot_alcohol = sight.value(alcohol, 0.0, &mut normal);
        let pot_alcohol = pot_alcohol.as_deref().and_then(Band::of_draws);
        let to_come =
            plan_end.map(|end| end.litres.map(|litres| (litres - sight.drawn_l).max(0.0)));
        let jar_l = usual_jar_ml(plan) / 1000.0;
        let on = sight.sensitivity(|s| s.ends?.hearts);
        let charge = &plan.charge;
        let faults = self.faults();
        let step_end_s = self.step_end(&sight, plan_end, &mut normal);
        Outlook {
            made_at_s: now_s,
            plan_end,
            step_end_s,
            end,
            litres_to_come: to_come,
            strength_now: self.strength_now(),
            strength_so_far: self.strength_so_far(),
            pot_alcohol_l: pot_alcohol.unwrap_or(Band::point(0.0)).map(|litres| litres.max(0.0)),
            jars_needed: to_come.map(|litres| litres.map(|l| (l / jar_l).ceil())),
            stop_s: self.stop(plan_end, step_end_s),
            charge_litres: self.unknown(LITRES).map(|x| charge.litres * x.exp()),
            charge_strength_vol: self.unknown(STRENGTH).map(|x| charge.strength_vol * x.exp()),
            untrusted: self.untrusted(&faults),
            faults,
            evidence: Evidence {
                chi_square: fit.chi_square,
                effective_measurements: fit.effective,
                prior_distance: fit.z.iter().map(|z| z * z).sum::<f64>().sqrt(),
                effective_draws: DRAWS as f64,
                simulations: best.model.made(),
                shares: on.as_ref().map(|on| shares(&sight, on)).unwrap_or_default(),
                column: on.as_ref().and_then(|on| column_worth(&sight, on, self.measured)),
            },
            would_help: on.as_ref().map(|on| would_help(&sight, on, self.seen)).unwrap_or_default(),
        }
    }

    pub(super) fn unknowns(&self) -> Unknowns {
        unknowns(self.all[0].model.beliefs, &self.all[0].fit.z)
    }

    /// An unknown itself, over all explanations by their weights.
    fn unknown(&self, place: usize) -> Band {
        let mut normal = Normal::seeded(self.settings.seed);
        let mut draws = Vec::with_capacity(DRAWS);
        for weighed in self.all {
            let (value, sd) = weighed.unknown(place);
            if self.all.len() == 1 {
                return Band::from_array(Band::SCORES.map(|score| value + score * sd));
            }
            draws.extend((0..weighed.draws()).map(|_| value + sd * normal.draw()));
        }
        Band::of_draws(&draws).unwrap_or(Band::point(0.0))
    }

    /// When the last hearts step is over by its minutes at the latest, while it runs.
    fn latest_s(&self) -> Option<f64> {
        let model = &self.all[0].model;
        let (start_s, index) = self.seen.step();
        let steps = &model.plan.steps;
        let last = steps.iter().rposition(|step| step.kind == StepKind::Hearts);
        let minutes = steps.get(index)?.minutes.filter(|_| last == Some(index))?;
        Some(start_s + 60.0 * minutes + model.inputs.pause_s)
    }

    /// How much stronger the spirit runs than simulated by a hypothesis, % vol, and how sure that
    /// is (sd).
    fn stronger(&self, weighed: &Weighed<'_>) -> (f64, f64) {
        if !self.settings.update {
            return (0.0, 0.5);
        }
        let unknowns = unknowns(weighed.model.beliefs, &weighed.fit.z);
        put_right(self.measured, &weighed.fit.best, &unknowns, self.seen.now_s)
    }

    /// Strength of what runs now, over all explanations by their weights.
    fn strength_now(&self) -> Band {
        let mut normal = Normal::seeded(self.settings.seed);
        let floor_vol = floors(self.all[0].model.plan).strength_vol;
        let mut draws = Vec::with_capacity(DRAWS);
        for weighed in self.all {
            let track = &weighed.fit.best.track;
            let Some(at) = track.at(self.seen.now_s).or(track.points.first().copied()) else {
                continue;
            };
            let (more_vol, sd) = self.stronger(weighed);
            let (vol, sd) = (at.drum_vol() + more_vol, sd.hypot(floor_vol));
            if self.all.len() == 1 {
                return banded_vol(vol, sd);
            }
            draws.extend((0..weighed.draws()).map(|_| vol + sd * normal.draw()));
        }
        let band = Band::of_draws(&draws).unwrap_or(Band::point(0.0));
        band.map(|vol| vol.clamp(0.0, STRONGEST_VOL))
    }

    /// Strength of the hearts so far: the jars that were gauged, the simulation for the rest.
    fn strength_so_far(&self) -> Option<Band> {
        // Hearts are over with the step after them.
        let first = self.all[0].model.plan.first_hearts()?;
        let later = |step: &&(f64, usize)| {
            step.1 > first && self.all[0].model.plan.steps[step.1].kind != StepKind::Hearts
        };
        let until_s = self.seen.steps.iter().find(later).map_or(self.seen.now_s, |step| step.0);
        let vol = hearts_so_far(&self.all[0].fit.best, until_s)?.strength();
        Some(banded_vol(vol + self.unknowns()[super::believe::GLASS] * 0.5, 0.25))
    }

    /// End of the running step; the last hearts step ends where the plan's hearts do.
    fn step_end(
        &self,
        sight: &Foresight<'_>,
        plan_end: Option<EndForecast>,
        normal: &mut Normal,
    ) -> Option<Band> {
        let now_s = sight.now_s;
        let steps = &sight.model.plan.steps;
        let last_hearts = steps.iter().rposition(|step| step.kind == StepKind::Hearts);
        if last_hearts == Some(self.seen.step().1) {
            return plan_end.map(|end| end.time_s);
        }
        let draws = sight.value(|s| s.ends?.step_s, 0.0, normal)?;
        let sd = self.all[0].model.inputs.take_off_sd.hypot(sight.floors.rate);
        let later =
            draws.iter().map(|at| now_s + (at - now_s).max(0.0) * (sd * normal.draw()).exp());
        Band::of_draws(&later.collect::<Vec<f64>>())
    }

    /// When the plan should stop: as long after the hearts as the likeliest still has it, in the last
    /// step as long after its end.
    fn stop(&self, plan_end: Option<EndForecast>, step_end_s: Option<Band>) -> Option<Band> {
        let whole = &self.all[0].model;
        let whole = whole.simulate_with(&self.unknowns(), Reach::Stop, ChangeOver::Usual);
        let whole = whole.ok()?.ends?;
        let stop_s = whole.stop_s?;
        let steps = &self.all[0].model.plan.steps;
        let last = steps.iter().rposition(|step| step.kind != StepKind::Stop);
        let in_last = step_end_s.zip(whole.step_s).filter(|_| last == Some(self.seen.step().1));
        if let Some((band, step_s)) = in_last {
            return Some(band.map(|time_s| time_s + (stop_s - step_s).max(0.0)));
        }
        let Some(end) = plan_end.zip(whole.plan) else {
            return Some(banded(stop_s, 0.05 * (stop_s - self.seen.now_s).max(0.0)));
        };
        let after_s = (stop_s - end.1.time_s).max(0.0);
        Some(end.0.time_s.map(|time_s| time_s + after_s))
    }
}

/// A jar where nobody said how large: a fiftieth of the boiler, 200 to 2000 mL.
#[must_use]
pub fn usual_jar_ml(plan: &RunPlan) -> f64 {
    ((plan.still.boiler_litres * 0.4).round() * 50.0).clamp(200.0, 2000.0)
}
