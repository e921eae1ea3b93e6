//! The jars as shown: filled, open, and those to come within the litres still to come.

use still::plan::StepKind;

use super::{Band, End, Jar};
use crate::engine::Live;
use crate::jars::cleanliness;

/// Jars that are shown ahead: while a run goes on, and before heat, when the whole plan is.
const EXPECTED_JARS: usize = 8;
const PLANNED_JARS: usize = 100;

/// A jar counts as weighed from so long after it was put there: until then it does not stand, s
/// (judgement).
const WEIGHED_FROM_S: f64 = 60.0;

impl Live {
    pub(super) fn shown_jars(&self, ends: &[End]) -> Vec<Jar> {
        let filled = self.spirit.jars.filled.iter().map(|jar| Jar {
            number: jar.number,
            cut: jar.cut,
            start_s: jar.start_s,
            end_s: Some(jar.end_s),
            volume_ml: jar.ml,
            measured: jar.measured,
            strength_vol: jar.strength_vol,
            strength_read: jar.read,
            status: "filled",
            cleanliness: cleanliness(jar.cut, 0.5, jar.begun_rise_k),
        });
        let mut jars: Vec<Jar> = filled.collect();
        jars.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let rate = self.rate_ml_min();
        // A cut ends with its step, however much room its jar has left.
        let running = |end: &&End| end.step_index == Some(self.course.steps.index());
        let step_s = ends.iter().find(running).map_or(f64::INFINITY, |end| end.at.p50);
        let step_s = step_s.max(self.now_s);
        if let Some(open) = &self.spirit.jars.open {
            let (ml, alcohol_ml) = self.spirit.drawn.since(open.start_s);
            let drawing = self.course.steps.kind().draws() && rate > 0.1 && !self.course.is_over();
            let left_s = 60.0 * (self.spirit.jar_ml - ml).max(0.0) / rate.max(0.1);
            jars.push(Jar {
                number: open.number,
                cut: open.cut,
                start_s: open.start_s,
                end_s: drawing.then_some(self.now_s + left_s).map(|full_s| full_s.min(step_s)),
                volume_ml: ml,
                measured: self.spirit.weighing.all_since(open.start_s + WEIGHED_FROM_S),
                strength_vol: (ml > 0.0).then(|| 100.0 * alcohol_ml / ml),
                strength_read: false,
                status: "open",
                cleanliness: cleanliness(open.cut, 0.5, open.begun_rise_k),
            });
        }
        if !self.course.is_over() {
            self.expected_jars(&mut jars, ends);
        }
        jars
    }

    /// Jars to come: each step's litres cut into jars over its time.
    fn expected_jars(&self, jars: &mut Vec<Jar>, ends: &[End]) {
        let mut number = self.spirit.jars.next_number();
        let mut start_s = self.now_s;
        // What is to come goes into the next jar once the open one is full.
        let open = jars.last().filter(|jar| jar.status == "open");
        let full_s = open.and_then(|jar| jar.end_s).unwrap_or(start_s);
        let mut left = if self.begun() { EXPECTED_JARS } else { PLANNED_JARS };
        for end in ends {
            let Some(step) = end.step_index.and_then(|index| self.plan.steps.get(index)) else {
                continue;
            };
            let (from_s, end_s) = (start_s, end.at.p50);
            start_s = end_s;
            let step_ml = self.step_ml_to_come(end.step_index.unwrap_or(0), end_s - from_s);
            if !step.kind.draws() || step_ml <= 1.0 || end_s <= from_s {
                continue;
            }
            let from_s = full_s.clamp(from_s, end_s);
            let count = (step_ml / self.spirit.jar_ml).ceil().max(1.0);
            let each_s = (end_s - from_s) / count;
            let begun_rise_k = self.rise_at_begin_k(end.step_index.unwrap_or(0));
            let mut place = 0.0;
            while place < count && left > 0 {
                let at_s = from_s + each_s * place;
                jars.push(Jar {
                    number,
                    cut: step.kind,
                    start_s: at_s,
                    end_s: Some(at_s + each_s),
                    volume_ml: (step_ml - self.spirit.jar_ml * place).min(self.spirit.jar_ml),
                    measured: false,
                    strength_vol: None,
                    strength_read: false,
                    status: "expected",
                    cleanliness: cleanliness(step.kind, place / count, begun_rise_k),
                });
                number += 1;
                left -= 1;
                place += 1.0;
            }
            if left == 0 {
                return;
            }
        }
    }

    /// Rise at which a jar of a step that is to come begins, K: now in the running one, in slow
    /// hearts the rise that ends the fast ones.
    fn rise_at_begin_k(&self, index: usize) -> f64 {
        if index == self.course.steps.index() {
            return self.rise_k().unwrap_or(0.0);
        }
        let fast = index.checked_sub(1).filter(|_| self.plan.is_slow_phase(index));
        let ended_by = fast.and_then(|before| self.plan.steps.get(before)?.until_rise_k);
        ended_by.unwrap_or(0.0)
    }

    /// What a step should still draw into jars that are not under the spout yet, mL.
    fn step_ml_to_come(&self, index: usize, length_s: f64) -> f64 {
        if index != self.course.steps.index() {
            let course = self.foresight.forecasts.as_ref().and_then(|f| f.step_litres(index));
            return 1000.0 * course.unwrap_or(0.0);
        }
        let open_ml = self.open_jar_ml().filter(|_| self.spirit.jars.open.is_some());
        let until_full = open_ml.map_or(0.0, |ml| (self.spirit.jar_ml - ml).max(0.0));
        self.rate_ml_min() * length_s / 60.0 - until_full
    }

    /// Jars still needed for the hearts: in the middle as many as are shown ahead, where each part
    /// of the hearts begins with a jar of its own.
    pub(super) fn jars_to_come(
        &self,
        to_come: Option<&super::Value>,
        shown: &[Jar],
    ) -> Option<Band> {
        let jar_l = self.spirit.jar_ml / 1000.0;
        let open = self.spirit.jars.open.as_ref().filter(|open| open.cut == StepKind::Hearts);
        let room_l = open
            .and_then(|_| self.open_jar_ml())
            .map_or(0.0, |ml| (self.spirit.jar_ml - ml).max(0.0) / 1000.0);
        let count = |litres: f64| ((litres - room_l).max(0.0) / jar_l).ceil();
        let needed = to_come?.at.map(count);
        let ahead: Vec<&Jar> = shown.iter().filter(|jar| jar.status == "expected").collect();
        let hearts = ahead.iter().filter(|jar| jar.cut == StepKind::Hearts).count();
        if hearts == 0 || needed.p50 <= 0.0 || ahead.len() >= EXPECTED_JARS {
            return Some(needed);
        }
        let more = f64::from(u32::try_from(hearts).unwrap_or(u32::MAX)) - needed.p50;
        Some(needed.map(|jars| (jars + more).max(0.0)))
    }
}
