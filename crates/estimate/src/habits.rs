//! How a person runs a still: how late steps are begun, how often hearts pause or are slowed down,
//! how often something is the matter; counted in the runs that taught, wide before the first.

use still::plan::StillKind;

use super::character::Character;
use super::counted::Counted;

/// What is counted on in the run that goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Habits {
    /// How late a step is begun in the mean, s.
    pub(super) late_s: f64,
    /// Chance that planned slow hearts are begun before their trigger.
    pub(super) early_slow: f64,
    /// Pauses in a whole of hearts, and how long one lasts in the mean, s.
    pub(super) pause: f64,
    pub(super) pause_s: f64,
    /// Chance that hearts are slowed down outside the plan.
    pub(super) slowed: f64,
    /// Belief before a run in a charge not as stated, a head that drifts, a heater that weakens.
    pub(super) matter: [f64; 3],
}

/// Before anything is counted (judgement): a probe lags its vapour by a minute, and somebody has to
/// look and to walk, s.
const LATE_S: f64 = 100.0;
/// A head that still shakes off its light heads looks like a rise (judgement).
const EARLY_SLOW: f64 = 0.25;
/// Pauses and slowings in a run of a pot and of a column (judgement).
const PAUSE: [f64; 2] = [0.1, 0.15];
const SLOWED: [f64; 2] = [0.02, 0.08];
/// How long a pause lasts: a jar run over, a fuse, a call (judgement), s.
const PAUSE_S: f64 = 650.0;
/// About one run in fifteen has one of the three (judgement).
const MATTER: [f64; 3] = [0.03, 0.02, 0.02];
/// So many changes, runs and pauses of the beginning are counted with those of the log: a log of ten
/// runs weighs as much (judgement; half of it made forecasts of simulated series, whose persons are
/// all alike, 3 % worse). What is the matter is rarer, and waits longer.
const CHANGES_BEFORE: f64 = 10.0;
const RUNS_BEFORE: f64 = 10.0;
const PAUSES_BEFORE: f64 = 5.0;
const MATTER_BEFORE: f64 = 40.0;
/// Hearts pause at most so often in what is counted on.
const PAUSE_CHANCE_MOST: f64 = 0.9;

/// A mean of so many of the beginning and those that were counted.
fn with(before: f64, weight: f64, sum: f64, count: f64) -> f64 {
    (before * weight + sum) / (weight + count)
}

impl Habits {
    /// What the runs of a still's character make of the beginning.
    pub(super) fn of(kind: StillKind, known: Option<&Character>) -> Self {
        let place = usize::from(kind == StillKind::Column);
        let counted: Vec<Counted> = known.map_or(Vec::new(), |known| {
            known.history.iter().filter_map(|learned| learned.counted).collect()
        });
        let sum = |of: &dyn Fn(&Counted) -> f64| counted.iter().map(of).sum::<f64>();
        let runs = counted.len() as f64;
        let pauses = sum(&|run| f64::from(run.pauses));
        let matter = |place: usize, of: &dyn Fn(&Counted) -> f64| {
            with(MATTER[place], MATTER_BEFORE, sum(of), runs)
        };
        Self {
            late_s: with(
                LATE_S,
                CHANGES_BEFORE,
                sum(&|run| run.changes.late_s),
                sum(&|run| f64::from(run.changes.after_trigger)),
            ),
            early_slow: with(
                EARLY_SLOW,
                CHANGES_BEFORE,
                sum(&|run| f64::from(run.changes.early)),
                sum(&|run| f64::from(run.changes.slow_phases)),
            ),
            pause: with(PAUSE[place], RUNS_BEFORE, pauses, runs).min(PAUSE_CHANCE_MOST),
            pause_s: with(PAUSE_S, PAUSES_BEFORE, sum(&|run| run.paused_s), pauses),
            slowed: with(
                SLOWED[place],
                RUNS_BEFORE,
                sum(&|run| f64::from(u8::from(run.slowed))),
                runs,
            ),
            matter: [
                matter(0, &|run| run.wrong_strength),
                matter(1, &|run| run.drift),
                matter(2, &|run| run.weak_heater),
            ],
        }
    }
}
