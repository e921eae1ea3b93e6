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
    let heat = Step { watts: Some(heat_w), ..Step::new(StepKind::Heat) };
    let foreshots_ml = Some(said(0.008 * pure_ml).max(10.0));
    let heads_ml = Some(said(pure_ml * chance.between((0.03, 0.08))).max(20.0));
    let mut steps = vec![heat];
    if plan.still.kind == StillKind::Pot {
        let first =
            vol_of_x(Mixture::at(0.5).bubble(mole_fraction(plan.charge.strength_vol), 101_325.0).y);
        let until =
            |kind, vol: f64| Step { until_strength_vol: Some(vol.round()), ..Step::new(kind) };
        steps.push(Step {
            watts: Some(run_w),
            until_ml: foreshots_ml,
            ..Step::new(StepKind::Foreshots)
        });
        steps.push(Step { until_ml: heads_ml, ..Step::new(StepKind::Heads) });
        steps.push(until(StepKind::Hearts, first * chance.between((0.65, 0.9))));
        steps.push(until(StepKind::Tails, first * chance.between((0.2, 0.5))));
    } else {
        let lost_w = 70.0 * plan.still.boiler_loss_w_per_k + 60.0 * plan.still.column_loss_w_per_k;
        let vapour_ml_min =
            60.0 * SPIRIT_ML_MOL * (run_w - lost_w).max(0.2 * run_w) / LATENT_J_MOL[0];
        let minutes = Some((chance.between((20.0, 60.0)) / 5.0).round() * 5.0);
        steps.push(Step { watts: Some(run_w), minutes, ..Step::new(StepKind::Equalise) });
        let ratio = chance.between(if effective < 8.0 { (3.0, 7.0) } else { (2.0, 5.0) });
        let by_ratio = chance.happens(0.25);
        let draws = |kind, ratio: f64| {
            if by_ratio {
                Step { reflux_ratio: Some(tenth(ratio)), ..Step::new(kind) }
            } else {
                let rate = said(vapour_ml_min / (ratio + 1.0));
                Step { takeoff_ml_per_min: Some(rate), ..Step::new(kind) }
            }
        };
        let heads_ratio = ratio * chance.between((1.5, 3.0));
        steps
            .push(Step { until_ml: foreshots_ml, ..draws(StepKind::Foreshots, 2.0 * heads_ratio) });
        steps.push(Step { until_ml: heads_ml, ..draws(StepKind::Heads, heads_ratio) });
        let last = |chance: &mut Chance| Some(tenth(chance.between((1.2, 2.4))));
        if chance.happens(0.4) {
            let first = Some((100.0 * chance.between((0.25, 0.5))).round() / 100.0);
            steps.push(Step { until_rise_k: first, ..draws(StepKind::Hearts, ratio) });
            let slow = (ratio + 1.0) / chance.between((0.45, 0.7)) - 1.0;
            steps.push(Step { until_rise_k: last(chance), ..draws(StepKind::Hearts, slow) });
        } else {
            steps.push(Step { until_rise_k: last(chance), ..draws(StepKind::Hearts, ratio) });
        }
        let until_strength_vol = Some(chance.between((30.0, 60.0)).round());
        steps.push(Step { until_strength_vol, ..draws(StepKind::Tails, 0.6 * ratio) });
    }
    steps.push(Step::new(StepKind::Stop));
    steps
}
