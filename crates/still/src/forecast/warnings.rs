//! What a person should know about a plan before heat.

use super::peaks::Peaks;
use crate::outcome::{EndedBy, Forecast, Warning};
use crate::plan::{ChargeKind, RunPlan, Step, TakeOff};

/// Largest share of the boiler to charge; less for a wash that foams (common practice, no source).
const FILL_MAX: f64 = 0.80;
const FILL_MAX_GRAIN: f64 = 0.67;
/// Strongest charge, % vol (common practice, no source).
pub(crate) const CHARGE_STRENGTH_MAX_VOL: f64 = 40.0;
/// Warmest coolant outlet, °C (common practice, no source).
pub(crate) const COOLANT_OUT_MAX_C: f64 = 65.0;
/// Heat capacity of a litre of water near 40 °C, J/K (handbook, rounded).
pub(crate) const WATER_J_PER_L_K: f64 = 4150.0;
/// Rates above a limit by less than this share are not worth a warning.
const RATE_SLACK: f64 = 1e-6;

/// All warnings of a plan and its forecast.
pub(super) fn of(plan: &RunPlan, forecast: &Forecast, peaks: &Peaks) -> Vec<Warning> {
    let all = [
        fill(plan),
        strength(plan),
        element(plan, forecast),
        coolant(plan, peaks),
        above_boil_up(plan, peaks),
        over_max(plan, peaks),
        never_reached(plan, forecast),
        over_at_once(plan, forecast),
    ];
    all.into_iter().flatten().collect()
}

/// Largest share of the boiler that this charge may fill.
pub(crate) fn fill_max(plan: &RunPlan) -> f64 {
    let grain = plan.charge.kind == Some(ChargeKind::GrainWash);
    if grain { FILL_MAX_GRAIN } else { FILL_MAX }
}

fn fill(plan: &RunPlan) -> Option<Warning> {
    let share = plan.charge.litres / plan.still.boiler_litres;
    let bound = fill_max(plan);
    (share > bound).then(|| Warning {
        code: "charge_over_fill",
        text: format!(
            "The charge fills {:.0} % of the boiler; over {:.0} % it may foam into the column.",
            100.0 * share,
            100.0 * bound
        ),
        value: share,
        bound,
    })
}

fn strength(plan: &RunPlan) -> Option<Warning> {
    let value = plan.charge.strength_vol;
    (value > CHARGE_STRENGTH_MAX_VOL).then(|| Warning {
        code: "charge_too_strong",
        text: format!(
            "The charge has {value:.1} % vol; reduce it to {CHARGE_STRENGTH_MAX_VOL:.0} % vol \
             or less before heat."
        ),
        value,
        bound: CHARGE_STRENGTH_MAX_VOL,
    })
}

fn element(plan: &RunPlan, forecast: &Forecast) -> Option<Warning> {
    (forecast.ended_by == EndedBy::ElementCover).then(|| Warning {
        code: "element_uncovered",
        text: format!(
            "The pot comes down to {:.1} L, the cover of the elements, before the plan is \
             through; the run must stop there.",
            plan.still.element_cover_litres
        ),
        value: forecast.totals.left_in_pot_l,
        bound: plan.still.element_cover_litres,
    })
}

fn coolant(plan: &RunPlan, peaks: &Peaks) -> Option<Warning> {
    let flow_l_s = plan.site.coolant_l_per_min / 60.0;
    let out_c = plan.site.coolant_in_c + peaks.condenser_w / (flow_l_s * WATER_J_PER_L_K);
    (out_c > COOLANT_OUT_MAX_C).then(|| Warning {
        code: "coolant_too_small",
        text: format!(
            "With {:.2} L/min the coolant should leave at {out_c:.0} °C or boil; it should stay \
             under {COOLANT_OUT_MAX_C:.0} °C.",
            plan.site.coolant_l_per_min
        ),
        value: out_c,
        bound: COOLANT_OUT_MAX_C,
    })
}

/// The largest take-off rate that the plan asks for, mL/min.
fn asked_ml_per_min(plan: &RunPlan) -> f64 {
    let rate = |take_off| if let TakeOff::MlPerMin(rate) = take_off { rate } else { 0.0 };
    plan.steps.iter().map(|step| rate(step.take_off())).fold(0.0, f64::max)
}

fn above_boil_up(plan: &RunPlan, peaks: &Peaks) -> Option<Warning> {
    let bound = peaks.limited_ml_per_min?;
    let value = asked_ml_per_min(plan);
    Some(Warning {
        code: "takeoff_above_boilup",
        text: format!(
            "The plan draws {value:.0} mL/min, but at times only {bound:.0} mL/min of vapour \
             reaches the top; the rest cannot come."
        ),
        value,
        bound,
    })
}

fn over_max(plan: &RunPlan, peaks: &Peaks) -> Option<Warning> {
    let bound = plan.still.max_takeoff_ml_per_min;
    let value = peaks.takeoff_ml_per_min.max(asked_ml_per_min(plan));
    (value > bound * (1.0 + RATE_SLACK)).then(|| Warning {
        code: "takeoff_over_max",
        text: format!(
            "The take-off comes to {value:.0} mL/min, over the {bound:.0} mL/min stated for this \
             still."
        ),
        value,
        bound,
    })
}

fn has_trigger(step: &Step) -> bool {
    step.until_ml.is_some()
        || step.until_total_ml.is_some()
        || step.until_rise_k.is_some()
        || step.until_strength_vol.is_some()
        || step.until_pot_c.is_some()
}

/// A step that the plan would end by a trigger and that ends otherwise, by its time or with the
/// run; the first one.
fn never_reached(plan: &RunPlan, forecast: &Forecast) -> Option<Warning> {
    let planned = plan.steps.len() - 1;
    let last = forecast.steps.last()?;
    let cut_short = forecast.ended_by != EndedBy::Plan || last.index + 1 < planned;
    let missed = forecast.steps.iter().find(|outcome| {
        let step = &plan.steps[outcome.index];
        let out_of_time =
            outcome.ended_by == EndedBy::Minutes && (has_trigger(step) || step.minutes.is_none());
        out_of_time || (cut_short && outcome.index == last.index)
    })?;
    Some(Warning {
        code: "trigger_never_reached",
        text: format!(
            "Step {} ({}) ends by {} before what should end it comes; {} of {planned} steps are \
             run.",
            missed.index + 1,
            plan.step_name(missed.index),
            missed.ended_by.words(),
            last.index + 1,
        ),
        value: (missed.index + 1) as f64,
        bound: planned as f64,
    })
}

/// A drawing step whose end is met as it begins, so that nothing is drawn in it; the first one.
fn over_at_once(plan: &RunPlan, forecast: &Forecast) -> Option<Warning> {
    let empty = forecast.steps.iter().find(|outcome| {
        outcome.kind.draws() && outcome.litres_20c <= 0.0 && outcome.ended_by != EndedBy::Minutes
    })?;
    let number = empty.index + 1;
    let name = plan.step_name(empty.index);
    let by = empty.ended_by.words();
    let now = match (empty.ended_by, empty.drum_end_vol) {
        (EndedBy::UntilStrengthVol, Some(vol)) => format!(", {vol:.0} % vol by then"),
        (EndedBy::UntilPotC, _) => format!(", {:.1} °C by then", empty.pot_end_c),
        _ => String::new(),
    };
    Some(Warning {
        code: "step_over_at_once",
        text: format!(
            "Step {number} ({name}) is over as it begins, by {by}{now}: nothing is drawn in it."
        ),
        value: number as f64,
        bound: 0.0,
    })
}
