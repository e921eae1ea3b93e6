//! Every rule, broken one at a time from a plan that passes.

use quantities::Power;

use super::super::{
    FORMAT_NEWEST, FeintsPart, HeatSource, RunPlan, Step, StepKind, StillKind, test_plan,
};

fn broken(field: &str, spoil: impl FnOnce(&mut RunPlan)) {
    let mut plan = test_plan();
    spoil(&mut plan);
    let error = plan.check().expect_err(field);
    assert_eq!(error.field, field, "{error}");
    assert!(!error.bound.is_empty() && !error.hint.is_empty() && !error.value.is_empty());
}

#[test]
fn a_sound_plan_passes() {
    assert_eq!(test_plan().check(), Ok(()));
}

/// A plan that passed could once not be opened nor rehearsed: what its steam gives was no power.
#[test]
fn whatever_power_a_plan_may_state_can_be_recorded() {
    let mut plan = test_plan();
    plan.still.heat_source = HeatSource::Steam;
    plan.still.elements_watts = vec![500_000.0; 16];
    plan.steps[0].watts = None;
    assert_eq!(plan.check(), Ok(()));
    assert!(Power::from_watts(plan.still.elements_watts.iter().sum()) == Ok(plan.step_power(0)));
    plan.still.elements_watts.push(500_000.0);
    assert!(plan.check().is_err());
}

#[test]
fn numbers_out_of_bounds_are_named() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0e9, 1.0e9] {
        broken("still.boiler_litres", |plan| plan.still.boiler_litres = bad);
        broken("still.elements_watts[2]", |plan| plan.still.elements_watts[1] = bad);
        broken("still.element_cover_litres", |plan| plan.still.element_cover_litres = bad);
        broken("still.stages", |plan| plan.still.stages = bad);
        broken("still.efficiency", |plan| plan.still.efficiency = Some(bad));
        broken("still.reflux_c", |plan| plan.still.reflux_c = Some(bad));
        broken("still.vapour_lost", |plan| plan.still.vapour_lost = Some(bad));
        broken("still.column_probe_fraction", |plan| plan.still.column_probe_fraction = Some(bad));
        broken("still.holdup_litres", |plan| plan.still.holdup_litres = bad);
        broken("still.drum_fraction", |plan| plan.still.drum_fraction = bad);
        broken("still.boiler_loss_w_per_k", |plan| plan.still.boiler_loss_w_per_k = bad);
        broken("still.column_loss_w_per_k", |plan| plan.still.column_loss_w_per_k = bad);
        broken("still.metal_kj_per_k", |plan| plan.still.metal_kj_per_k = bad);
        broken("still.column_metal_kj_per_k", |plan| plan.still.column_metal_kj_per_k = bad);
        broken("still.pressure_drop_pa_per_stage", |plan| {
            plan.still.pressure_drop_pa_per_stage = bad;
        });
        broken("still.max_takeoff_ml_per_min", |plan| plan.still.max_takeoff_ml_per_min = bad);
        broken("charge.litres", |plan| plan.charge.litres = bad);
        broken("charge.strength_vol", |plan| plan.charge.strength_vol = bad);
        broken("charge.temperature_c", |plan| plan.charge.temperature_c = bad);
        broken("charge.litres_sd", |plan| plan.charge.litres_sd = Some(bad));
        broken("charge.strength_sd", |plan| plan.charge.strength_sd = Some(bad));
        broken("site.pressure_hpa", |plan| plan.site.pressure_hpa = bad);
        broken("site.ambient_c", |plan| plan.site.ambient_c = bad);
        broken("site.coolant_in_c", |plan| plan.site.coolant_in_c = bad);
        broken("site.coolant_l_per_min", |plan| plan.site.coolant_l_per_min = bad);
        let feints = |litres, strength_vol| Some(FeintsPart { litres, strength_vol });
        broken("charge.feints.litres", |plan| plan.charge.feints = feints(bad, 60.0));
        broken("charge.feints.strength_vol", |plan| plan.charge.feints = feints(1.0, bad));
        broken("charge.congeners_mg_per_l.methanol", |plan| {
            plan.charge.congeners_mg_per_l = Some([("methanol".to_owned(), bad)].into());
        });
        step_numbers(bad);
    }
}

fn step_numbers(bad: f64) {
    broken("step[1].watts", |plan| plan.steps[0].watts = Some(bad));
    broken("step[2].minutes", |plan| plan.steps[1].minutes = Some(bad));
    broken("step[3].until_ml", |plan| plan.steps[2].until_ml = Some(bad));
    broken("step[3].until_total_ml", |plan| plan.steps[2].until_total_ml = Some(bad));
    broken("step[3].until_pot_c", |plan| plan.steps[2].until_pot_c = Some(bad));
    broken("step[3].reflux_ratio", |plan| plan.steps[2].reflux_ratio = Some(bad));
    broken("step[5].until_rise_k", |plan| plan.steps[4].until_rise_k = Some(bad));
    broken("step[5].takeoff_ml_per_min", |plan| plan.steps[4].takeoff_ml_per_min = Some(bad));
    broken("step[5].until_strength_vol", |plan| plan.steps[4].until_strength_vol = Some(bad));
}

#[test]
fn parts_must_agree_with_each_other() {
    broken("charge.litres", |plan| plan.charge.litres = plan.still.boiler_litres + 0.1);
    broken("still.element_cover_litres", |plan| {
        plan.still.element_cover_litres = plan.charge.litres;
    });
    broken("still.holdup_litres", |plan| plan.still.holdup_litres = plan.charge.litres / 2.0);
    broken("step[4].watts", |plan| plan.steps[3].watts = Some(2200.5));
    broken("still.efficiency", |plan| {
        plan.still.stages = 9.5;
        plan.still.efficiency = Some(0.8);
    });
    broken("still.elements_watts", |plan| plan.still.elements_watts.clear());
    broken("charge.congeners_mg_per_l.ethanol", |plan| {
        plan.charge.congeners_mg_per_l = Some([("ethanol".to_owned(), 1.0)].into());
    });
    broken("charge.congeners_mg_per_l.methanoll", |plan| {
        plan.charge.congeners_mg_per_l = Some([("methanoll".to_owned(), 1.0)].into());
    });
    broken("format", |plan| plan.format = 0);
    broken("format", |plan| plan.format = FORMAT_NEWEST + 1);
    broken("title", |plan| plan.title = " ".into());
    broken("title", |plan| plan.title = "x".repeat(201));
    broken("title", |plan| plan.title = "two\nlines".into());
    broken("still.name", |plan| plan.still.name.clear());
    broken("start", |plan| plan.start = "2026-10-03T08:12:00".into());
}

#[test]
fn stages_go_by_kind() {
    for (kind, stages, fine) in [
        (StillKind::Column, 0.99, false),
        (StillKind::Column, 1.0, true),
        (StillKind::Column, 9.5, true),
        (StillKind::Column, 30.5, false),
        (StillKind::Pot, 0.0, true),
        (StillKind::Pot, 0.5, true),
        (StillKind::Pot, 1.0, true),
        (StillKind::Pot, 1.5, false),
    ] {
        let mut plan = test_plan();
        plan.still.kind = kind;
        plan.still.stages = stages;
        plan.steps.retain(|step| kind == StillKind::Column || step.kind != StepKind::Equalise);
        assert_eq!(plan.check().is_ok(), fine, "{kind:?} {stages}");
    }
}

#[test]
fn heat_is_first_and_stop_is_last() {
    broken("step[1].do", |plan| plan.steps.rotate_left(1));
    broken("step[3].do", |plan| plan.steps[2].kind = StepKind::Heat);
    broken("step[3].do", |plan| plan.steps[2].kind = StepKind::Stop);
    broken("step[6].do", |plan| plan.steps.truncate(6));
    broken("step", |plan| plan.steps.clear());
    broken("step", |plan| {
        let step = plan.steps[2].clone();
        plan.steps.splice(3..3, vec![step; super::STEPS_MAX]);
    });
    broken("step[1].minutes", |plan| plan.steps[0].minutes = Some(10.0));
    broken("step[1].reflux_ratio", |plan| plan.steps[0].reflux_ratio = Some(1.0));
    broken("step[7].watts", |plan| plan.steps[6].watts = Some(100.0));
    broken("step[7].until_ml", |plan| plan.steps[6].until_ml = Some(100.0));
}

#[test]
fn each_step_says_how_it_draws_and_when_it_ends() {
    broken("step[2].minutes", |plan| plan.steps[1].minutes = None);
    broken("step[2].until_pot_c", |plan| plan.steps[1].until_pot_c = Some(80.0));
    broken("step[2].reflux_ratio", |plan| plan.steps[1].reflux_ratio = Some(3.0));
    broken("step[3].until_ml", |plan| plan.steps[2].until_ml = None);
    broken("step[3].takeoff_ml_per_min", |plan| plan.steps[2].reflux_ratio = None);
    broken("step[3].takeoff_ml_per_min", |plan| plan.steps[2].takeoff_ml_per_min = Some(5.0));
    broken("step[3].until_rise_k", |plan| plan.steps[2].until_rise_k = Some(0.4));
    // A rise that no spirit shows ends nothing.
    broken("step[5].until_rise_k", |plan| plan.steps[4].until_rise_k = Some(30.0));
    broken("step[2].do", |plan| {
        plan.still.kind = StillKind::Pot;
        plan.still.stages = 1.0;
    });
    let mut plan = test_plan();
    plan.still.kind = StillKind::Pot;
    plan.still.stages = 1.0;
    plan.steps.remove(1);
    plan.steps[1].reflux_ratio = None;
    assert_eq!(plan.check(), Ok(()), "a pot may leave the take-off out");
    plan.steps = [StepKind::Heat, StepKind::Tails, StepKind::Stop].map(Step::new).into();
    plan.steps[1].until_rise_k = Some(1.0);
    assert!(plan.check().is_err(), "a rise without any hearts has no plateau");
}
