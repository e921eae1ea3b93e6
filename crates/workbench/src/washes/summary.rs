//! Scores of many answers together.

use ferment::State;
use quantities::Band;

use super::Said;
use crate::curve::crps;

/// How one quantity was foreseen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scores {
    /// Answers.
    pub count: usize,
    /// Mean score of the end, % of the time from pitching to the end.
    pub end_percent: f64,
    /// Middle of what the end was told too late (above 0) or too early, the same unit.
    pub end_off_percent: f64,
    /// Share of ends inside the 80 % and 95 % bands.
    pub end_inside: [f64; 2],
    /// Mean score of the strength, % vol.
    pub strength_vol: f64,
    /// Share of strengths inside the 80 % and 95 % bands.
    pub strength_inside: [f64; 2],
}

/// What was told of states.
#[derive(Debug, Clone, PartialEq)]
pub struct States {
    /// Truth down, answer across: working, slow, stuck, finished.
    pub table: [[usize; 4]; 4],
    /// Mean cost of an answer.
    pub cost: f64,
    /// Answers with a chance of finished over 0.9, and how many of them were.
    pub sure: [usize; 2],
    /// Moments that were stuck or finished, and at how many the truth had the larger chance of the two.
    pub apart: [usize; 2],
}

/// Cost of an answer across, by truth down.
const COST: [[f64; 4]; 4] =
    [[0.0, 0.5, 2.0, 5.0], [0.5, 0.0, 1.0, 5.0], [2.0, 1.0, 0.0, 5.0], [1.0, 1.0, 2.0, 0.0]];

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0_usize), |(sum, count), x| (sum + x, count + 1));
    sum / count as f64
}

fn inside<'a>(pairs: &(impl Iterator<Item = (&'a Band, f64)> + Clone)) -> [f64; 2] {
    let share = |low: fn(&Band) -> f64, high: fn(&Band) -> f64| {
        let is = |(band, came): (&Band, f64)| {
            f64::from(u8::from(low(band) <= came && came <= high(band)))
        };
        mean(pairs.clone().map(is))
    };
    [share(|band| band.p10, |band| band.p90), share(|band| band.p025, |band| band.p975)]
}

/// Scores of those answers that were forecasts; none where none was.
#[must_use]
pub fn scores(said: &[&Said]) -> Option<Scores> {
    let asked: Vec<&Said> = said.iter().copied().filter(|one| one.moment.forecast).collect();
    if asked.is_empty() {
        return None;
    }
    let percent = |one: &Said| 100.0 / one.moment.end_h;
    let mut off: Vec<f64> =
        asked.iter().map(|one| percent(one) * (one.end_h.p50 - one.moment.end_h)).collect();
    off.sort_by(f64::total_cmp);
    let half = off.len() / 2;
    let end_off_percent =
        if off.len() % 2 == 1 { off[half] } else { 0.5 * (off[half - 1] + off[half]) };
    let ends = asked.iter().map(|one| (&one.end_h, one.moment.end_h));
    let strengths = asked.iter().map(|one| (&one.strength_vol, one.moment.final_strength_vol));
    Some(Scores {
        count: asked.len(),
        end_percent: mean(
            asked.iter().map(|one| percent(one) * crps(&one.end_h, one.moment.end_h)),
        ),
        end_off_percent,
        end_inside: inside(&ends),
        strength_vol: mean(strengths.clone().map(|(band, came)| crps(band, came))),
        strength_inside: inside(&strengths),
    })
}

/// What was told where a state was asked for.
#[must_use]
pub fn states(said: &[&Said]) -> States {
    let mut states = States { table: [[0; 4]; 4], cost: 0.0, sure: [0; 2], apart: [0; 2] };
    let mut count = 0.0;
    for one in said {
        let Some(truth) = one.moment.state_asked() else { continue };
        count += 1.0;
        states.table[truth as usize][one.state as usize] += 1;
        states.cost += COST[truth as usize][one.state as usize];
        let [_, _, stuck, finished] = one.chance;
        if finished > 0.9 {
            states.sure[0] += 1;
            states.sure[1] += usize::from(truth == State::Finished);
        }
        if matches!(truth, State::Stuck | State::Finished) {
            states.apart[0] += 1;
            states.apart[1] += usize::from((truth == State::Stuck) == (stuck > finished));
        }
    }
    states.cost /= f64::max(count, 1.0);
    states
}
