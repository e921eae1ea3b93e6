//! What was reckoned while nothing showed the still: in doubt until a jar is measured, and not
//! counted where the still did not boil.

use super::unseen::{InDoubt, TakenOut, Times, overlap};
use super::{Drawn, difference, edge};

impl Drawn {
    /// Nothing shows the still since then.
    pub(crate) fn unseen(&mut self, from_s: f64, now_s: f64) {
        self.unseen.enter(from_s, now_s);
    }

    /// A jar tells what ran in its time; says whether all of that was seen.
    pub(super) fn seen_by_jar(&mut self, times: Times) -> bool {
        let seen = !self.unseen.touches(times);
        self.unseen.settle(times);
        seen
    }

    /// The still did not boil in that time, of which nothing was seen: nothing of it counts. Gives
    /// what is taken out, mL.
    pub(crate) fn did_not_run(&mut self, idle: Times) -> f64 {
        let counted = std::mem::take(&mut self.unseen.counted);
        let (out, stay): (Vec<Times>, Vec<Times>) =
            counted.into_iter().partition(|times| overlap(*times, idle).is_some());
        self.unseen.counted = stay;
        out.into_iter().map(|times| self.take_out(times)).sum()
    }

    fn take_out(&mut self, times: Times) -> f64 {
        let (start_s, end_s) = (edge(times.0), edge(times.1));
        let start = self.reckoned_at(start_s);
        let ran = |drawn: &Self, at_s: f64| difference(start, drawn.reckoned_at(at_s.min(end_s)));
        let (ml, alcohol_ml) = ran(self, f64::INFINITY);
        let points: Vec<(f64, f64)> =
            self.course.iter().map(|point| ran(self, point.time_s)).collect();
        let step = ran(self, self.step_start.2);
        let at = |mark: &super::Mark| ran(self, mark.2);
        let hearts: Vec<_> =
            self.hearts.iter().map(|(from, to)| (at(from), to.as_ref().map(at))).collect();
        for (point, by) in self.course.iter_mut().zip(points) {
            point.ml -= by.0;
            point.alcohol_ml -= by.1;
        }
        let less = |mark: &mut super::Mark, by: (f64, f64)| {
            mark.0 -= by.0;
            mark.1 -= by.1;
        };
        less(&mut self.step_start, step);
        for ((from, to), by) in self.hearts.iter_mut().zip(hearts) {
            less(from, by.0);
            to.as_mut().zip(by.1).into_iter().for_each(|(mark, by)| less(mark, by));
        }
        self.reckoned.ml -= ml;
        self.reckoned.alcohol_ml -= alcohol_ml;
        self.reckoned_band_ml = (self.reckoned_band_ml - ml * self.rate_band()).max(0.0);
        self.unseen.take_out(TakenOut { times, ml, alcohol_ml });
        ml
    }

    /// What of all that was drawn is in doubt because nobody saw it.
    pub(crate) fn in_doubt(&self) -> InDoubt {
        self.in_doubt_within((0.0, f64::INFINITY))
    }

    /// The same of what was drawn as hearts.
    pub(crate) fn hearts_in_doubt(&self) -> InDoubt {
        let spans =
            self.hearts.iter().map(|(from, to)| (from.2, to.map_or(f64::INFINITY, |to| to.2)));
        spans.map(|times| self.in_doubt_within(times)).fold(InDoubt::default(), |a, b| InDoubt {
            less_ml: a.less_ml + b.less_ml,
            less_alcohol_ml: a.less_alcohol_ml + b.less_alcohol_ml,
            more_ml: a.more_ml + b.more_ml,
            more_alcohol_ml: a.more_alcohol_ml + b.more_alcohol_ml,
        })
    }

    fn in_doubt_within(&self, within: Times) -> InDoubt {
        let mut all = InDoubt::default();
        for times in self.unseen.counted.iter().filter_map(|times| overlap(*times, within)) {
            let (ml, alcohol_ml) = self.between(times.0, times.1);
            all.less_ml += ml;
            all.less_alcohol_ml += alcohol_ml;
        }
        for out in &self.unseen.out {
            let share = overlap(out.times, within)
                .map_or(0.0, |both| (both.1 - both.0) / (out.times.1 - out.times.0));
            all.more_ml += share * out.ml;
            all.more_alcohol_ml += share * out.alcohol_ml;
        }
        all
    }
}
