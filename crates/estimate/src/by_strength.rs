//! An end of the hearts by strength, put right by what the last jars read over the simulated still.

use still::plan::{RunPlan, StepKind};
use still::track::{End, Track};

/// Time over which it is seen how fast the spirit weakens, least and most, s.
const SLOPE_S: (f64, f64) = (300.0, 1200.0);
/// An end within this of the plan's strength is one by strength, % vol: a person is late by minutes.
const BY_STRENGTH_VOL: f64 = 1.0;
/// Time after which a third of what spirit runs stronger than simulated is left, s (judgement: on a
/// measured still it lasted for hours).
const LASTS_S: f64 = 7200.0;

/// Strength at which the plan ends its last hearts, % vol, where it does so by strength.
pub(super) fn limit_vol(plan: &RunPlan) -> Option<f64> {
    let last = plan.steps.iter().rfind(|step| step.kind == StepKind::Hearts);
    last.and_then(|step| step.until_strength_vol)
}

/// By how much later the end comes where the spirit runs so much stronger than simulated, s, and
/// the litres until then; nothing where it does not end by strength.
pub(super) fn later(
    track: &Track,
    plan: &RunPlan,
    end: &End,
    now_s: f64,
    stronger_vol: f64,
) -> (f64, f64) {
    let span_s = (end.time_s - now_s).clamp(SLOPE_S.0, SLOPE_S.1);
    let Some((until_vol, before)) = limit_vol(plan).zip(track.at(end.time_s - span_s)) else {
        return (0.0, 0.0);
    };
    let weakens = (before.drum_vol() - end.at.drum_vol()) / span_s;
    if weakens <= 0.0 || (end.at.drum_vol() - until_vol).abs() > BY_STRENGTH_VOL {
        return (0.0, 0.0);
    }
    let left_s = (end.time_s - now_s).max(0.0);
    let lasting = stronger_vol * (-left_s / LASTS_S).exp();
    let most_s = 0.5 * left_s + SLOPE_S.0;
    let later_s = (lasting / weakens).clamp(-most_s, most_s);
    (later_s, later_s / span_s * end.at.drawn_since(&before).litres_20c)
}
