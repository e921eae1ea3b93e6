//! Possible washes that agree with the log: draws from the beliefs, led to the readings in stages
//! and moved at each stage so that they stay many.

use crate::belief::{UNKNOWNS, Unknowns};
use crate::chance::Chance;
use crate::likelihood;
use crate::problem::Problem;

/// Washes kept, at most and at least.
const KEPT_MOST: usize = 600;
const KEPT_LEAST: usize = 200;
/// Steps and readings that are led through in the time of the most washes.
const EFFORT: usize = 180;
/// Washes drawn from the beliefs for each that is kept.
const DRAWN: usize = 5;
/// Most stages; the last takes all that is left.
const STAGES_MAX: usize = 14;
/// Moves of every wash at a stage, and at the last one.
const MOVES: usize = 2;
const MOVES_LAST: usize = 5;
/// Share of washes that must still count after a stage.
const COUNTING: f64 = 0.5;

/// One possible wash and how well it agrees.
#[derive(Clone)]
struct Draw {
    z: Unknowns,
    fit: f64,
}

/// Mean and triangle of the draws: the landscape they are moved in.
struct Cloud {
    mean: Unknowns,
    lower: [[f64; UNKNOWNS]; UNKNOWNS],
}

impl Cloud {
    fn of(draws: &[Draw]) -> Self {
        let n = draws.len() as f64;
        let mean: Unknowns = std::array::from_fn(|i| draws.iter().map(|d| d.z[i]).sum::<f64>() / n);
        let mut lower = [[0.0; UNKNOWNS]; UNKNOWNS];
        for i in 0..UNKNOWNS {
            for j in 0..=i {
                let together =
                    draws.iter().map(|d| (d.z[i] - mean[i]) * (d.z[j] - mean[j])).sum::<f64>() / n;
                // A little wider, and less bound together, than so few draws say.
                let held = if i == j { 1.05 * together + 0.01 } else { 0.9 * together };
                let dot: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
                let rest = held - dot;
                lower[i][j] =
                    if i == j { rest.max(1e-4).sqrt() } else { rest / f64::max(lower[j][j], 1e-6) };
            }
        }
        Self { mean, lower }
    }

    /// Minus twice the logarithm of its density, but for a constant.
    fn distance(&self, z: &Unknowns) -> f64 {
        let mut free = [0.0; UNKNOWNS];
        for i in 0..UNKNOWNS {
            let dot: f64 = (0..i).map(|k| self.lower[i][k] * free[k]).sum();
            free[i] = (z[i] - self.mean[i] - dot) / self.lower[i][i];
        }
        free.iter().map(|x| x * x).sum()
    }

    fn near(&self, z: &Unknowns, step: f64, chance: &mut Chance) -> Unknowns {
        let free: Unknowns = std::array::from_fn(|_| chance.normal());
        let keep = (1.0 - step * step).sqrt();
        std::array::from_fn(|i| {
            let dot: f64 = (0..=i).map(|k| self.lower[i][k] * free[k]).sum();
            self.mean[i] + keep * (z[i] - self.mean[i]) + step * dot
        })
    }
}

/// Washes kept: fewer for a long log of many readings, so that it takes no longer.
fn kept(problem: &Problem<'_>) -> usize {
    let effort = problem.steps.len() + 2 * problem.hours.len();
    (KEPT_MOST * EFFORT / effort.max(1)).clamp(KEPT_LEAST, KEPT_MOST)
}

/// Washes that agree with the log, each as likely as the others, and how many were simulated.
pub(crate) fn sample(problem: &Problem<'_>, chance: &mut Chance) -> (Vec<Unknowns>, usize) {
    let fresh = |chance: &mut Chance| -> Unknowns { std::array::from_fn(|_| chance.normal()) };
    if problem.hours.len() <= 1 {
        return ((0..KEPT_MOST).map(|_| fresh(chance)).collect(), 0);
    }
    let kept = kept(problem);
    let mut simulated = DRAWN * kept;
    let mut draws: Vec<Draw> = (0..simulated)
        .map(|_| {
            let z = fresh(chance);
            Draw { z, fit: likelihood::of(problem, &z) }
        })
        .collect();
    let mut share = 0.0;
    for stage in 0..STAGES_MAX {
        let next = if stage + 1 == STAGES_MAX { 1.0 } else { next_share(&draws, share, kept) };
        let weights = weights(&draws, next - share);
        share = next;
        draws = resample(&draws, &weights, kept, chance);
        let last = share >= 1.0;
        for _ in 0..if last { MOVES_LAST } else { MOVES } {
            simulated += draws.len();
            shift(problem, &mut draws, share, chance);
        }
        if last {
            break;
        }
    }
    (draws.into_iter().map(|draw| draw.z).collect(), simulated)
}

fn shift(problem: &Problem<'_>, draws: &mut [Draw], share: f64, chance: &mut Chance) {
    let cloud = Cloud::of(draws);
    let beyond = |z: &Unknowns| 0.5 * (cloud.distance(z) - z.iter().map(|x| x * x).sum::<f64>());
    for draw in draws {
        let step = 0.15 + 0.65 * chance.unit() * chance.unit();
        let z = cloud.near(&draw.z, step, chance);
        let fit = likelihood::of(problem, &z);
        let gain = share * (fit - draw.fit) + beyond(&z) - beyond(&draw.z);
        if gain >= 0.0 || chance.unit() < gain.exp() {
            *draw = Draw { z, fit };
        }
    }
}

fn weights(draws: &[Draw], step: f64) -> Vec<f64> {
    let best = draws.iter().map(|d| d.fit).fold(f64::NEG_INFINITY, f64::max);
    draws.iter().map(|d| (step * (d.fit - best)).exp()).collect()
}

fn counting(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    sum * sum / weights.iter().map(|w| w * w).sum::<f64>()
}

/// The largest share of the likelihood under which enough washes still count.
fn next_share(draws: &[Draw], share: f64, kept: usize) -> f64 {
    let enough = COUNTING * kept as f64;
    if counting(&weights(draws, 1.0 - share)) >= enough {
        return 1.0;
    }
    let (mut low, mut high) = (0.0, 1.0 - share);
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if counting(&weights(draws, middle)) >= enough { low = middle } else { high = middle }
    }
    share + low
}

fn resample(draws: &[Draw], weights: &[f64], many: usize, chance: &mut Chance) -> Vec<Draw> {
    let step = weights.iter().sum::<f64>() / many as f64;
    let mut kept = Vec::with_capacity(many);
    let (mut reached, mut place) = (weights[0], 0);
    let first = chance.unit() * step;
    for i in 0..many {
        let at = first + i as f64 * step;
        while reached < at && place + 1 < draws.len() {
            place += 1;
            reached += weights[place];
        }
        kept.push(draws[place].clone());
    }
    kept
}
