//! What the latest readings of a column in hearts have risen over their plateau: errors that they
//! share with it, of the probe and of the model, cancel.

use still::plan::StepKind;

use super::measured::{Measured, Measurement};
use super::model::Model;
use super::seen::Seen;

/// Spread of a rise of the head over its plateau; weather comes on top where no barometer is read.
const RISE_K: f64 = 0.05;
const WEATHER_K: f64 = 0.05;
/// So many of the latest heads are compared with a plateau this far back, s, of so many heads; what
/// is told twice by them counts once.
const RISES: usize = 3;
const RISES_SHARED: f64 = 2.0;
const PLATEAU_S: std::ops::Range<f64> = 1200.0..6000.0;
const PLATEAU_LEAST: usize = 3;

/// The latest of these readings over the plateau before them: when each was read, when the plateau
/// was in the mean, the rise, K.
pub(super) fn rises(read: &[(f64, f64)], model: &Model<'_>, seen: &Seen) -> Vec<(f64, f64, f64)> {
    let tails = |step: &&(f64, usize)| model.plan.steps[step.1].kind == StepKind::Tails;
    let until_s = seen.steps.iter().find(tails).map_or(seen.now_s, |step| step.0);
    let read: Vec<&(f64, f64)> = read.iter().filter(|read| read.0 < until_s).collect();
    let mut rises = Vec::new();
    for latest in read.iter().rev().take(RISES) {
        let earlier = |before: &&&(f64, f64)| PLATEAU_S.contains(&(latest.0 - before.0));
        let plateau: Vec<&&(f64, f64)> = read.iter().filter(earlier).collect();
        if plateau.len() < PLATEAU_LEAST {
            continue;
        }
        let mean = |of: fn(&(f64, f64)) -> f64| {
            plateau.iter().map(|read| of(read)).sum::<f64>() / plateau.len() as f64
        };
        let (time_s, kelvin) = (mean(|read| read.0), mean(|read| read.1));
        rises.push((latest.0, time_s, latest.1 - kelvin));
    }
    rises
}

/// Spread of each of them, for a rise that errs by `sd` where the weather is known, K.
pub(super) fn spread_k(sd: f64, seen: &Seen) -> f64 {
    let sd = if seen.barometer { sd } else { sd.hypot(WEATHER_K) };
    sd * RISES_SHARED.sqrt()
}

impl Measured {
    /// The rises of the head of a column.
    pub(super) fn head_rises(&mut self, heads: &[(f64, f64)], model: &Model<'_>, seen: &Seen) {
        if self.pot {
            return;
        }
        let sd = spread_k(RISE_K, seen);
        let rise = |(time_s, before_s, kelvin)| (Measurement::Rise(time_s, before_s, kelvin), sd);
        self.list.extend(rises(heads, model, seen).into_iter().map(rise));
    }
}
