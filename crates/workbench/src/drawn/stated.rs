//! What an owner says of still and charge, and the plan that an owner of such a still makes.

use std::collections::BTreeMap;

use still::plan::{
    Charge, ChargeKind, HeadPlace, HeatSource, RunPlan, Step, StepKind, Still, StillKind,
};

use super::boiling::Mixture;
use super::chance::Chance;
use super::liquid::{mole_fraction, vol_of_x};
use super::plant::{Build, LATENT_J_MOL};

/// Millilitres at 20 °C of a mole of strong spirit, as owners reckon.
const SPIRIT_ML_MOL: f64 = 44.0;
/// How far what an owner states is off, standard deviation of the logarithm (judgement).
const LOSS_SD: f64 = 0.35;
const HELD_SD: f64 = 0.25;
const STAGES_SD: f64 = 0.15;
const METAL_SD: f64 = 0.15;

/// Two significant digits, as an owner would say it.
pub(super) fn said(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

/// The still as its owner states it, whose truth is `build`.
pub(super) fn still(
    chance: &mut Chance,
    build: &Build,
    (boiler_l, heat_w): (f64, f64),
    name: &str,
) -> Still {
    let effective = build.stages as f64 * build.efficiency * chance.factor(STAGES_SD);
    let stages = if build.is_pot {
        chance.one_of(&[0.0, 0.5, 1.0])
    } else {
        ((2.0 * effective).round() / 2.0).clamp(2.0, 30.0)
    };
    let held_mol = build.stages as f64 * build.stage_mol + build.drum_mol;
    let split = chance.between((0.35, 0.65));
    let elements = [heat_w * split, heat_w * (1.0 - split)];
    Still {
        name: name.to_owned(),
        kind: if build.is_pot { StillKind::Pot } else { StillKind::Column },
        boiler_litres: boiler_l,
        heat_source: HeatSource::Electric,
        elements_watts: elements.map(f64::ceil).to_vec(),
        element_cover_litres: said(0.1 * boiler_l),
        stages,
        efficiency: None,
        reflux_c: None,
        vapour_lost: None,
        column_probe_fraction: None,
        holdup_litres: said(held_mol * SPIRIT_ML_MOL / 1000.0 * chance.factor(HELD_SD)),
        drum_fraction: said((build.drum_mol / held_mol * chance.factor(0.2)).clamp(0.02, 0.95)),
        boiler_loss_w_per_k: said(build.boiler_loss_w_k * chance.factor(LOSS_SD)),
        column_loss_w_per_k: said(build.column_loss_w_k * chance.factor(LOSS_SD)),
        metal_kj_per_k: said(build.boiler_metal_j_k / 1000.0 * chance.factor(METAL_SD)),
        column_metal_kj_per_k: said(build.column_metal_j_k / 1000.0 * chance.factor(METAL_SD)),
        pressure_drop_pa_per_stage: said(build.drop_pa * chance.factor(0.2)),
        head_place: HeadPlace::Above,
        max_takeoff_ml_per_min: said(60.0 * SPIRIT_ML_MOL * heat_w / LATENT_J_MOL[0]),
    }
}

/// The charge as stated: with the usual doubt of a vessel's marks and of a glass.
pub(super) fn charge(
    chance: &mut Chance,
    is_low_wines: bool,
    (litres, vol): (f64, f64),
    ambient_c: f64,
) -> Charge {
    let litres_sd = 0.02 * litres;
    let strength_sd = if is_low_wines { 0.9 } else { 0.35 };
    let kinds = [ChargeKind::SugarWash, ChargeKind::GrainWash, ChargeKind::FruitWash];
    Charge {
        kind: Some(if is_low_wines { ChargeKind::LowWines } else { chance.one_of(&kinds) }),
        litres: tenth(litres + chance.normal(litres_sd)),
        strength_vol: tenth(vol + chance.normal(strength_sd)),
        temperature_c: tenth(ambient_c + chance.between((0.0, 8.0))),
        litres_sd: Some((100.0 * litres_sd).round() / 100.0),
        strength_sd: Some(strength_sd),
        // Nothing but ethanol and water is simulated, and the estimate is told so.
        congeners_mg_per_l: Some(BTreeMap::new()),
        feints: None,
    }
}

/// The plan, its steps from the heat to the stop.
pub(super) fn steps(
    chance: &mut Chance,
    plan: &RunPlan,
    (heat_w, run_w): (f64, f64),
    effective: f64,
) -> Vec<Step> {
    let pure_ml = 10.0 * plan.charge.litres * plan.charge.strength_vol;
    let foreshots_ml = said(0.008 * pure_ml).max(10.0);
    let heads_ml = said(pure_ml * chance.between((0.03, 0.08))).max(20.0);
    let early_ml = (foreshots_ml, heads_ml);
    let mut steps = vec![Step { watts: Some(heat_w), ..Step::new(StepKind::Heat) }];
    steps.extend(match plan.still.kind {
        StillKind::Pot => pot_steps(chance, plan, run_w, early_ml),
        StillKind::Column => column_steps(chance, plan, run_w, effective, early_ml),
    });
    steps.push(Step::new(StepKind::Stop));
    steps
}

fn pot_steps(
    chance: &mut Chance,
    plan: &RunPlan,
    run_w: f64,
    (foreshots_ml, heads_ml): (f64, f64),
) -> Vec<Step> {
    let x = mole_fraction(plan.charge.strength_vol);
    let first = vol_of_x(Mixture::at(0.5).bubble(x, 101_325.0).y);
    let mut until = |kind, shares| Step {
        until_strength_vol: Some((first * chance.between(shares)).round()),
        ..Step::new(kind)
    };
    let (hearts, tails) =
        (until(StepKind::Hearts, (0.65, 0.9)), until(StepKind::Tails, (0.2, 0.5)));
    let foreshots = Step::new(StepKind::Foreshots);
    vec![
        Step { watts: Some(run_w), until_ml: Some(foreshots_ml), ..foreshots },
        Step { until_ml: Some(heads_ml), ..Step::new(StepKind::Heads) },
        hearts,
        tails,
    ]
}

fn column_steps(
    chance: &mut Chance,
    plan: &RunPlan,
    run_w: f64,
    effective: f64,
    (foreshots_ml, heads_ml): (f64, f64),
) -> Vec<Step> {
    let still = &plan.still;
    let lost_w = 70.0 * still.boiler_loss_w_per_k + 60.0 * still.column_loss_w_per_k;
    let top_w = (run_w - lost_w).max(0.2 * run_w);
    let vapour_ml_min = 60.0 * SPIRIT_ML_MOL * top_w / LATENT_J_MOL[0];
    let minutes = (chance.between((20.0, 60.0)) / 5.0).round() * 5.0;
    // Who has few stages draws slowly.
    let ratio = chance.between(if effective < 8.0 { (3.0, 7.0) } else { (2.0, 5.0) });
    let by_ratio = chance.happens(0.25);
    let draws = |kind, ratio: f64| {
        let rate = said(vapour_ml_min / (ratio + 1.0));
        Step {
            reflux_ratio: by_ratio.then(|| tenth(ratio)),
            takeoff_ml_per_min: (!by_ratio).then_some(rate),
            ..Step::new(kind)
        }
    };
    let early_ratio = ratio * chance.between((1.5, 3.0));
    let equalise = Step::new(StepKind::Equalise);
    let mut steps = vec![
        Step { watts: Some(run_w), minutes: Some(minutes), ..equalise },
        Step { until_ml: Some(foreshots_ml), ..draws(StepKind::Foreshots, 2.0 * early_ratio) },
        Step { until_ml: Some(heads_ml), ..draws(StepKind::Heads, early_ratio) },
    ];
    let mut last_ratio = ratio;
    if chance.happens(0.4) {
        let until_rise_k = Some((100.0 * chance.between((0.25, 0.5))).round() / 100.0);
        steps.push(Step { until_rise_k, ..draws(StepKind::Hearts, ratio) });
        last_ratio = (ratio + 1.0) / chance.between((0.45, 0.7)) - 1.0;
    }
    let until_rise_k = Some(tenth(chance.between((1.2, 2.4))));
    steps.push(Step { until_rise_k, ..draws(StepKind::Hearts, last_ratio) });
    let until_strength_vol = Some(chance.between((30.0, 60.0)).round());
    steps.push(Step { until_strength_vol, ..draws(StepKind::Tails, 0.6 * ratio) });
    steps
}
