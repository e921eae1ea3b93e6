//! The simulated still in straight lines about one set of unknowns: one simulation there, and one
//! a step aside for each unknown that changes it.

use still::plan::StillKind;

use super::believe::{FUSEL, HOLD_UP, LIGHT, SIMULATED, UNKNOWNS, VALVE};
use super::model::{Model, Reach, Simulated, Unknowns};
use super::past::{Inputs, Weakened};
use super::problem::Problem;

/// Step of the differences, standard deviations.
const STEP: f64 = 0.4;

/// Simulations about `z`. They run on into the future, so they can stand for the still a few
/// minutes later, as long as what is done to it stays the same.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Linear {
    z: Unknowns,
    base: Simulated,
    /// One for each unknown that is simulated, a step away; none where it failed.
    aside: Vec<Option<Simulated>>,
    /// The same still with a person who changes over at once, where a change is to come.
    prompt: Option<Simulated>,
    inputs: Inputs,
    step: (f64, usize),
    weakened: Option<Weakened>,
}

/// Which unknowns a kind of still has.
pub(super) fn active(model: &Model<'_>, place: usize) -> bool {
    match place {
        HOLD_UP => model.plan.still.kind == StillKind::Column,
        FUSEL | LIGHT => model.plan.still.kind == StillKind::Column && model.has_congeners(),
        VALVE => model.by_ratio(),
        _ => true,
    }
}

fn aside(z: &Unknowns, place: usize) -> Unknowns {
    let mut moved = *z;
    moved[place] += STEP;
    moved
}

/// Whether a simulation made earlier reaches the present.
pub(super) fn reaches(simulated: &Simulated, model: &Model<'_>) -> bool {
    let now_s = model.inputs.past.until_s;
    simulated.track.points.last().is_some_and(|point| point.time_s >= now_s)
}

impl Linear {
    /// About `z`, where `base` is the simulation.
    pub(super) fn about(
        problem: &Problem<'_>,
        z: &Unknowns,
        base: Simulated,
        reach: Reach,
    ) -> Self {
        let one = |place: usize| {
            let active = active(problem.model, place);
            active.then(|| problem.simulate(&aside(z, place), reach).ok()).flatten()
        };
        let changes = reach == Reach::Hearts && problem.model.changes_over();
        Self {
            z: *z,
            base,
            prompt: changes.then(|| problem.simulate_prompt(z).ok()).flatten(),
            aside: (0..SIMULATED).map(one).collect(),
            inputs: problem.model.inputs.clone(),
            step: problem.model.step,
            weakened: problem.model.weakened,
        }
    }

    /// Slopes of the residuals: one row for each unknown.
    pub(super) fn rows(&self, problem: &Problem<'_>) -> Vec<Vec<f64>> {
        let here = problem.residuals(&self.base, &self.z);
        let row = |place: usize| {
            let simulated = match self.aside.get(place) {
                Some(aside) => aside.as_ref(),
                None => Some(&self.base),
            };
            let there = simulated.map(|s| problem.residuals(s, &aside(&self.z, place)));
            let slope = |i: usize| there.as_ref().map_or(0.0, |t| (t[i] - here[i]) / STEP);
            (0..here.len()).map(slope).collect()
        };
        (0..UNKNOWNS).map(row).collect()
    }

    /// Change of a prediction per standard deviation of each unknown that is simulated.
    pub(super) fn slope_of(&self, value: impl Fn(&Simulated) -> Option<f64>) -> Option<Unknowns> {
        let here = value(&self.base)?;
        Some(std::array::from_fn(|place| {
            let aside = self.aside.get(place).and_then(Option::as_ref);
            aside.and_then(&value).map_or(0.0, |there| (there - here) / STEP)
        }))
    }

    /// The same; of another prediction where the one is not to be had.
    pub(super) fn slope_of_either(
        &self,
        value: impl Fn(&Simulated) -> Option<f64>,
        other: impl Fn(&Simulated) -> Option<f64>,
    ) -> Unknowns {
        let change = |of: &dyn Fn(&Simulated) -> Option<f64>, there: &Simulated| {
            Some((of(there)? - of(&self.base)?) / STEP)
        };
        let slope = |there: &Simulated| change(&value, there).or_else(|| change(&other, there));
        std::array::from_fn(|place| {
            let aside = self.aside.get(place).and_then(Option::as_ref);
            aside.and_then(slope).unwrap_or(0.0)
        })
    }

    /// The simulation that its slopes are about.
    pub(super) const fn base(&self) -> &Simulated {
        &self.base
    }

    /// Change of a prediction where a person changes over at once and not as late as it comes.
    pub(super) fn if_prompt(&self, value: impl Fn(&Simulated) -> Option<f64>) -> f64 {
        let prompt = self.prompt.as_ref().and_then(&value);
        prompt.zip(value(&self.base)).map_or(0.0, |(prompt, late)| prompt - late)
    }

    /// When they were made, s.
    pub(super) const fn made_s(&self) -> f64 {
        self.inputs.past.until_s
    }

    /// Whether they can still stand for the still: what is done to it is as it was, and all of
    /// them reach the present.
    pub(super) fn holds(&self, model: &Model<'_>) -> bool {
        self.step == model.step
            && self.weakened == model.weakened
            && self.inputs.near(model.inputs)
            && reaches(&self.base, model)
            && self.aside.iter().chain([&self.prompt]).flatten().all(|s| reaches(s, model))
    }

    /// Whether a run simulated later comes to the same ends.
    pub(super) fn ends_as(&self, other: &Simulated) -> bool {
        let how = |s: &Simulated| {
            s.ends.map(|ends| {
                [ends.plan, ends.hearts].map(|end| end.map(|end| (end.reached, end.step)))
            })
        };
        how(&self.base) == how(other)
    }
}
