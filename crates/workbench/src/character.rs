//! What was learned about a still beside what is true of it.

use serde::Serialize;
use still::plan::RunPlan;

use super::truth::Truth;
use estimate::{Character, Trait};

/// One trait after one run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TraitMark {
    /// The run after which it is looked at.
    pub run: String,
    /// Which.
    pub of: Trait,
    /// Believed: ln of a ratio to what is stated, or K.
    pub mean: f64,
    /// Standard deviation of the belief.
    pub sd: f64,
    /// True, same unit.
    pub truth: f64,
    /// How many standard deviations the belief is above the truth.
    pub off_sd: f64,
}

/// Every trait whose truth is known, beside the belief after `run`.
#[must_use]
pub fn trait_marks(
    run: &str,
    plan: &RunPlan,
    truth: &Truth,
    character: &Character,
) -> Vec<TraitMark> {
    let mark = |of: Trait| {
        let (belief, truth) = (character.belief(of)?, true_trait(of, plan, truth)?);
        let off_sd = (belief.mean - truth) / belief.sd.max(1e-9);
        Some(TraitMark { run: run.to_owned(), of, mean: belief.mean, sd: belief.sd, truth, off_sd })
    };
    Trait::ALL.into_iter().filter_map(mark).collect()
}

/// The true value of a trait, where the recording tells it.
///
/// The separating power is the number of stages times their Murphree efficiency: right for a
/// column near total reflux, an approximation elsewhere. Pots have none to speak of.
fn true_trait(of: Trait, plan: &RunPlan, truth: &Truth) -> Option<f64> {
    let ratio = |real: f64, stated: f64| (real > 0.0 && stated > 0.0).then(|| (real / stated).ln());
    match of {
        Trait::Separation if plan.still.kind == still::plan::StillKind::Column => {
            let stated = plan.still.stages * plan.still.efficiency.unwrap_or(1.0);
            ratio(truth.stages? * truth.efficiency?, stated)
        }
        Trait::HoldUp => ratio(truth.holdup_litres?, plan.still.holdup_litres),
        Trait::HeadOffset => truth.head_offset_k,
        Trait::PotOffset => truth.pot_offset_k,
        _ => None,
    }
}
