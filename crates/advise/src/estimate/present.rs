//! One estimate from start to end: what was seen, inputs, beliefs, fit, bands.

use still::plan::{RunPlan, StillKind};

use super::Settings;
use super::believe::{Beliefs, LITRES, STRENGTH, UNKNOWNS};
use super::character::Character;
use super::draws::{DRAWS, Normal};
use super::fit::{Fit, Problem, unknowns};
use super::foresee::{Floors, Foresight, bands, hearts_so_far};
use super::measured::Measured;
use super::model::{Model, Simulated};
use super::outlook::{Evidence, Outlook};
use super::past::inputs;
use super::quantiles::Quantiles;
use super::seen::Seen;
use super::strength::put_right;
use crate::error::AdviseError;
use crate::rows::RecordedRun;

/// Steps of a cold fit.
const ROUNDS: usize = 8;

fn floors(plan: &RunPlan) -> Floors {
    match plan.still.kind {
        StillKind::Pot => Floors { litres: 0.02, rate: 0.02, strength_vol: 0.3, pause: 0.1 },
        StillKind::Column => Floors { litres: 0.02, rate: 0.03, strength_vol: 0.2, pause: 0.15 },
    }
}

/// Where a fit ended, for the next one to go on from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Warm([f64; UNKNOWNS]);

/// An estimate: cold without `warm`, else one step on from there.
pub(crate) fn estimate(
    plan: &RunPlan,
    rows: &RecordedRun,
    at_s: f64,
    character: Option<&Character>,
    settings: Settings,
    warm: Option<&Warm>,
) -> Result<(Outlook, Warm), AdviseError> {
    plan.check()?;
    let seen = Seen::of(plan, rows, at_s);
    let inputs = inputs(plan, &seen);
    let beliefs = Beliefs::of(plan, character, inputs.metered);
    let model = Model::new(plan, &seen, &inputs, &beliefs)?;
    let measured = Measured::of(&model, &seen);
    let problem = Problem { model: &model, measured: &measured, update: settings.update };
    let fit = match warm.filter(|_| settings.update) {
        Some(warm) => problem.renew(&warm.0)?,
        None => problem.fit(&[0.0; UNKNOWNS], if settings.update { ROUNDS } else { 0 })?,
    };
    let outlook = outlook(&model, &measured, &fit, at_s, settings);
    Ok((outlook, Warm(fit.z)))
}

/// A strength with a spread: never above what a still can give.
fn banded_vol(vol: f64, sd: f64) -> Quantiles {
    let levels = [-1.959_964, -1.281_552, 0.0, 1.281_552, 1.959_964];
    Quantiles::from_array(levels.map(|level| (vol + level * sd).clamp(0.0, 97.2)))
}

fn outlook(
    model: &Model<'_>,
    measured: &Measured,
    fit: &Fit,
    now_s: f64,
    settings: Settings,
) -> Outlook {
    let plan = model.plan;
    let mut normal = Normal::seeded(settings.seed);
    let sight = Foresight::new(model, fit, now_s, floors(plan), &mut normal);
    let hearts = sight.draw(|s| s.ends?.hearts, &mut normal);
    let own = sight.draw(|s| s.ends?.plan, &mut normal);
    let strength = |s: &Simulated| {
        let at = s.track.at(now_s).or(s.track.points.first().copied())?;
        Some(at.drum_vol())
    };
    let unknowns = unknowns(model.beliefs, &fit.z);
    let (more_vol, sd_vol) = if settings.update {
        put_right(measured, &fit.best, &unknowns, now_s)
    } else {
        (0.0, 0.5)
    };
    let strength_now = strength(&fit.best).map(|vol| {
        let sd = sd_vol.hypot(sight.floors.strength_vol);
        banded_vol(vol + more_vol, sd)
    });
    let so_far = |s: &Simulated| hearts_so_far(s, now_s).map(|(_, vol)| vol);
    let strength_so_far = sight.value(so_far, 0.15, &mut normal);
    let alcohol = |s: &Simulated| s.track.at(now_s).map(|at| at.pot_alcohol_l());
    let pot_alcohol = sight.value(alcohol, 0.0, &mut normal);
    let of = |draws: Option<Vec<f64>>| draws.as_deref().and_then(Quantiles::of_draws);
    let charge = &plan.charge;
    Outlook {
        made_at_s: now_s,
        plan_end: own.as_ref().and_then(bands),
        step_end_s: None,
        end: hearts.as_ref().and_then(bands),
        litres_to_come: None,
        strength_now: strength_now.unwrap_or(Quantiles::point(0.0)),
        strength_so_far: of(strength_so_far),
        pot_alcohol_l: of(pot_alcohol).unwrap_or(Quantiles::point(0.0)),
        jars_needed: None,
        stop_s: None,
        charge_litres: sight.unknown(LITRES, |x| charge.litres * x.exp()),
        charge_strength_vol: sight.unknown(STRENGTH, |x| charge.strength_vol * x.exp()),
        faults: Vec::new(),
        untrusted: Vec::new(),
        evidence: Evidence {
            chi_square: fit.chi_square,
            effective_measurements: fit.effective,
            prior_distance: fit.z.iter().map(|z| z * z).sum::<f64>().sqrt(),
            effective_draws: DRAWS as f64,
            shares: Vec::new(),
        },
        would_help: Vec::new(),
    }
}
