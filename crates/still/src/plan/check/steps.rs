//! Checks the steps: their order, what each must and must not say, and the bounds of its numbers.

use super::super::{RunPlan, Step, StepKind, StillKind};
use super::refuse::{PlanError, Range, STEPS_MAX, range, refuse, within_if_given};

/// A key of a step with its value, bound and hint.
type Key = (&'static str, Option<f64>, Range, &'static str);

/// Largest rise of the head, K: pure water boils 21.8 K above the azeotrope (99.97 and 78.17 °C at
/// one atmosphere, CRC Handbook of Chemistry and Physics, from memory), and a head that stands in
/// the steam of water was carried past every end of spirit; judgement beside it.
const RISE_MAX_K: f64 = 20.0;
/// Most power of a step where that of the heat is not stated, W.
const WATTS_MAX: f64 = 500_000.0;

/// The keys that end a step.
fn ends(step: &Step) -> [Key; 6] {
    let ml = "millilitres at 20 °C";
    [
        ("minutes", step.minutes, range(0.1, 10_080.0, "min"), "minutes, at most a week"),
        ("until_ml", step.until_ml, range(1.0, 1.0e6, "mL"), ml),
        (
            "until_rise_k",
            step.until_rise_k,
            range(0.01, RISE_MAX_K, "K"),
            "rise above this run's plateau, as 0.4; never an absolute temperature. Boiling water \
             stands 21.8 K above it: what comes so late is ended by until_strength_vol",
        ),
        (
            "until_strength_vol",
            step.until_strength_vol,
            range(0.1, 100.0, "% vol"),
            "strength of what runs, in per cent",
        ),
        ("until_pot_c", step.until_pot_c, range(0.0, 120.0, "°C"), "pot temperature in °C"),
        ("until_total_ml", step.until_total_ml, range(1.0, 1.0e6, "mL"), ml),
    ]
}

/// The keys that say how fast a step draws.
fn take_offs(step: &Step) -> [Key; 3] {
    [
        (
            "reflux_ratio",
            step.reflux_ratio,
            range(0.0, 1000.0, ""),
            "parts returned for each part drawn; 0 draws everything",
        ),
        (
            "reflux_watts",
            step.reflux_watts,
            range(0.0, WATTS_MAX, "W"),
            "heat that the partial condenser takes up: its coolant's L/min x 69 W x the kelvins it warms by; 0 returns nothing",
        ),
        (
            "takeoff_ml_per_min",
            step.takeoff_ml_per_min,
            range(0.01, 20_000.0, "mL/min"),
            "millilitres a minute at 20 °C; to draw nothing use do = \"equalise\"",
        ),
    ]
}

fn path(index: usize, key: &str) -> String {
    format!("step[{}].{key}", index + 1)
}

/// All steps.
pub(super) fn check(plan: &RunPlan) -> Result<(), PlanError> {
    order(&plan.steps)?;
    for (index, step) in plan.steps.iter().enumerate() {
        numbers(plan, index, step)?;
        match step.kind {
            StepKind::Heat => bare(index, step, "heat ends by itself, when the stages are full")?,
            StepKind::Stop => stop(index, step)?,
            StepKind::Equalise => equalise(plan.still.kind, index, step)?,
            StepKind::Foreshots | StepKind::Heads | StepKind::Hearts | StepKind::Tails => {
                drawing(plan.still.kind, index, step)?;
                partial(plan, index, step)?;
            }
        }
        rise_after_hearts(plan, index, step)?;
    }
    Ok(())
}

fn order(steps: &[Step]) -> Result<(), PlanError> {
    if steps.len() < 2 || steps.len() > STEPS_MAX {
        return Err(refuse(
            "step",
            format!("{} steps", steps.len()),
            format!("must be 2 to {STEPS_MAX} steps"),
            "begin with do = \"heat\" and finish with do = \"stop\"",
        ));
    }
    let last = steps.len() - 1;
    for (index, step) in steps.iter().enumerate() {
        let (belongs, bound) = match step.kind {
            StepKind::Heat => (index == 0, "heat comes first, and only once"),
            StepKind::Stop => (index == last, "stop comes last, and only once"),
            _ if index == 0 => (false, "the first step must be heat"),
            _ if index == last => (false, "the last step must be stop"),
            _ => (true, ""),
        };
        if !belongs {
            let hint = "begin with do = \"heat\", then the steps in order, then do = \"stop\"";
            return Err(refuse(path(index, "do"), step.kind.name(), bound, hint));
        }
    }
    Ok(())
}

fn numbers(plan: &RunPlan, index: usize, step: &Step) -> Result<(), PlanError> {
    for (key, value, bound, hint) in ends(step).into_iter().chain(take_offs(step)) {
        within_if_given(&path(index, key), value, bound, hint)?;
    }
    // A power that nobody stated bounds nothing.
    let unstated = plan.still.power_unstated();
    let all = if unstated { WATTS_MAX } else { plan.heater_power().watts() };
    let hint = "the elements together give no more; correct the step or still.elements_watts";
    within_if_given(&path(index, "watts"), step.watts, range(0.0, all, "W"), hint)
}

/// A step that takes no end and no take-off.
fn bare(index: usize, step: &Step, bound: &str) -> Result<(), PlanError> {
    for (key, value, _, _) in ends(step).into_iter().chain(take_offs(step)) {
        if let Some(value) = value {
            return Err(refuse(path(index, key), value, bound, "leave this key out"));
        }
    }
    Ok(())
}

fn stop(index: usize, step: &Step) -> Result<(), PlanError> {
    bare(index, step, "stop turns the heater off and takes nothing else")?;
    match step.watts {
        Some(watts) if watts != 0.0 => Err(refuse(
            path(index, "watts"),
            watts,
            "stop turns the heater off",
            "leave this key out",
        )),
        _ => Ok(()),
    }
}

fn equalise(kind: StillKind, index: usize, step: &Step) -> Result<(), PlanError> {
    if kind == StillKind::Pot {
        return Err(refuse(
            path(index, "do"),
            "equalise",
            "a pot has no reflux to equalise with",
            "leave this step out, or say still.kind = \"column\"",
        ));
    }
    for (key, value, _, _) in take_offs(step).into_iter().chain(ends(step).into_iter().skip(1)) {
        if let Some(value) = value {
            let bound = "equalise draws nothing and ends by minutes";
            return Err(refuse(path(index, key), value, bound, "leave this key out"));
        }
    }
    if step.minutes.is_none() {
        return Err(refuse(
            path(index, "minutes"),
            "missing",
            "equalise needs minutes",
            "20 to 45 minutes of total reflux is usual",
        ));
    }
    Ok(())
}

fn drawing(kind: StillKind, index: usize, step: &Step) -> Result<(), PlanError> {
    if !ends(step).iter().any(|(_, value, _, _)| value.is_some()) {
        return Err(refuse(
            path(index, "until_ml"),
            "missing",
            "every step but heat and stop needs minutes or an until_* key",
            "say when this step ends, as until_ml = 350 or until_rise_k = 0.4",
        ));
    }
    let given = take_offs(step).into_iter().filter_map(|(key, value, ..)| Some((key, value?)));
    let given: Vec<(&str, f64)> = given.collect();
    match (given.as_slice(), kind) {
        ([_, .., (key, value)], _) => Err(refuse(
            path(index, key),
            value,
            "a step has one of reflux_ratio, reflux_watts and takeoff_ml_per_min, not two",
            "keep the one you set at the still",
        )),
        ([], StillKind::Column) => Err(refuse(
            path(index, "takeoff_ml_per_min"),
            "missing",
            "a drawing step of a column needs reflux_ratio, reflux_watts or takeoff_ml_per_min",
            "say how fast this step draws; it is not taken over from the step before",
        )),
        _ => Ok(()),
    }
}

/// A partial condenser: on a still that returns something, and never for all the heat there is.
fn partial(plan: &RunPlan, index: usize, step: &Step) -> Result<(), PlanError> {
    let Some(watts) = step.reflux_watts else { return Ok(()) };
    if plan.still.kind == StillKind::Pot {
        return Err(refuse(
            path(index, "reflux_watts"),
            watts,
            "a bare pot returns nothing",
            "a still with a partial condenser is kind = \"column\", with 1 to 6 contacts as stages",
        ));
    }
    let heat = plan.step_power(index).watts();
    if watts < heat {
        return Ok(());
    }
    Err(refuse(
        path(index, "reflux_watts"),
        watts,
        format!("must be under the heat of this step, {heat} W: it would return all the vapour"),
        "take what the coolant of the partial condenser takes up, or use do = \"equalise\"",
    ))
}

/// A rise counts from the plateau, which is only known once hearts run.
fn rise_after_hearts(plan: &RunPlan, index: usize, step: &Step) -> Result<(), PlanError> {
    let Some(rise) = step.until_rise_k else { return Ok(()) };
    if plan.first_hearts().is_some_and(|first| index >= first) {
        return Ok(());
    }
    Err(refuse(
        path(index, "until_rise_k"),
        rise,
        "must not stand before the first hearts",
        "the plateau is known only once hearts run: end this step by until_ml or minutes",
    ))
}
