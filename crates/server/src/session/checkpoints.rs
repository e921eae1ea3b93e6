//! Engines of earlier seconds, from which the past is gone through again: many of a moment ago, few
//! of long ago.

use std::collections::BTreeMap;

use advise::Live;

/// How far apart, s, up to which age, s. Judgement: rows that come some seconds late are common,
/// undoing what is minutes old is rare, an hour old hardly happens. A copy holds the run's rows,
/// a megabyte or two after eight hours.
const SPACINGS: [(u64, u64); 4] = [(5, 12), (60, 300), (600, 3600), (3600, 8 * 3600)];
/// Nearest that those of a rehearsal lie: its rows come in order, and it runs fast.
const REHEARSAL_SPACING: u64 = 600;

/// Engines by the second they had ended.
#[derive(Debug, Default)]
pub(crate) struct Checkpoints {
    kept: BTreeMap<u64, Box<Live>>,
    /// Nearest that they lie, s.
    nearest: u64,
}

impl Checkpoints {
    /// Only as many as a rehearsal needs.
    pub(crate) fn be_sparse(&mut self) {
        self.nearest = REHEARSAL_SPACING;
    }

    fn holds(&self, second: u64, now: u64) -> bool {
        let age = now.saturating_sub(second);
        let fits = |&&(spacing, age_max): &&(u64, u64)| {
            spacing >= self.nearest && second.is_multiple_of(spacing) && age <= age_max
        };
        SPACINGS.iter().find(fits).is_some()
    }

    /// Keeps the engine of that second, where one is kept, and lets old ones go.
    pub(crate) fn offer(&mut self, second: u64, now: u64, live: &Live) {
        if !self.holds(second, now) {
            return;
        }
        self.kept.insert(second, Box::new(live.clone()));
        let gone: Vec<u64> =
            self.kept.keys().copied().filter(|second| !self.holds(*second, now)).collect();
        for second in gone {
            self.kept.remove(&second);
        }
    }

    /// The newest engine that has not had a row of that time; those after it are let go.
    pub(crate) fn back_to(&mut self, time_s: f64) -> Option<(u64, &Live)> {
        self.kept.retain(|second, _| (*second as f64) < time_s);
        self.kept.last_key_value().map(|(second, live)| (*second, &**live))
    }
}

#[cfg(test)]
mod tests {
    use advise::{Live, LiveOptions};

    use super::Checkpoints;

    fn engine() -> Live {
        let plan = crate::example::house().plans[0].1.clone();
        let options = LiveOptions { forecast: false, ..LiveOptions::default() };
        Live::new(plan, options).unwrap()
    }

    #[test]
    fn there_is_always_one_near_and_never_many() {
        let (mut kept, live) = (Checkpoints::default(), engine());
        let mut most = 0;
        for second in 0..=40_000 {
            kept.offer(second, second, &live);
            most = most.max(kept.kept.len());
        }
        assert!(most <= 25, "{most}");
        let mut near = |ago: u64| {
            let at = 40_000 - ago;
            at - kept.back_to(at as f64).expect("one").0
        };
        let far: Vec<u64> = [0, 2, 100, 2000, 20_000].into_iter().map(&mut near).collect();
        assert!(
            far[0] <= 5 && far[1] <= 8 && far[2] <= 60 && far[3] <= 600 && far[4] <= 3600,
            "{far:?}"
        );
    }
}
