//! What beginning a step of the plan consists of: one rule for a person's key and a stand-in's hand.

use still::plan::{RunPlan, StepKind, StillKind};

use crate::input::Action;

/// Least difference of two powers that is one, W; judgement: no heater is set finer.
const SAME_WATTS: f64 = 0.5;

/// The acts that begin step `step` after step `after`, in their order: heater, step, take-off, jar.
/// The jar is the one that would come under the spout; it does where another fraction is open.
/// Empty for a step that the plan has not.
#[must_use]
pub fn acts_of_begin(
    plan: &RunPlan,
    after: usize,
    step: usize,
    open_cut: Option<StepKind>,
    next_jar: u32,
) -> Vec<Action> {
    let Some(begun) = plan.steps.get(step) else { return Vec::new() };
    let mut acts = Vec::new();
    let stops = begun.kind == StepKind::Stop;
    let watts = if stops { 0.0 } else { plan.step_power(step).watts() };
    if (watts - plan.step_power(after).watts()).abs() > SAME_WATTS {
        acts.push(Action::Heater { watts });
    }
    acts.push(Action::Step { kind: begun.kind });
    let given = begun.reflux_ratio.is_some() || begun.takeoff_ml_per_min.is_some();
    if begun.kind.draws() && (given || plan.still.kind == StillKind::Column) {
        acts.push(Action::TakeOff { take_off: begun.take_off(), measured: false });
    }
    if begun.kind.draws() && open_cut != Some(begun.kind) {
        acts.push(Action::Jar { number: next_jar });
    }
    acts
}
