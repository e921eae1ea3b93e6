//! The course of one possible wash in time: to the moment, at the hours that were read, and on.

use crate::belief::Wash;
use crate::kinetics::Now;
use crate::problem::Problem;

/// Hours of a step: short while much changes, long in the tail.
pub(crate) fn step_h(time_h: f64) -> f64 {
    if time_h < 60.0 {
        1.0
    } else if time_h < 200.0 {
        2.0
    } else {
        4.0
    }
}

/// What a wash is at an hour that was read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seen {
    pub(crate) gravity: f64,
    pub(crate) ethanol: f64,
    pub(crate) ph: f64,
    pub(crate) rate: f64,
}

/// A wash led through its events.
pub(crate) struct Course<'a> {
    problem: &'a Problem<'a>,
    wash: &'a Wash,
    pub(crate) now: Now,
    next_event: usize,
}

impl<'a> Course<'a> {
    pub(crate) fn begin(problem: &'a Problem<'a>, wash: &'a Wash) -> Self {
        let mut course = Self { problem, wash, now: Now::begin(problem, wash), next_event: 0 };
        course.happen();
        course
    }

    fn happen(&mut self) {
        while let Some((hour, event)) = self.problem.events.get(self.next_event) {
            if *hour > self.now.time_h + 1e-9 {
                break;
            }
            self.now.happen(self.wash, *event);
            self.next_event += 1;
        }
    }

    /// Leads it to an hour. Steps end at it and at events.
    pub(crate) fn lead(&mut self, until_h: f64) {
        while self.now.time_h < until_h - 1e-9 {
            let event = self.problem.events.get(self.next_event).map_or(f64::INFINITY, |e| e.0);
            let stop = until_h.min(event);
            let hours = step_h(self.now.time_h).min(stop - self.now.time_h).max(1e-6);
            let middle = self.now.time_h + 0.5 * hours;
            let read = (middle <= self.problem.at_h).then(|| self.problem.temperatures.at(middle));
            self.now.step(self.problem, self.wash, hours, read.flatten());
            self.happen();
        }
    }

    /// What is seen at the hours that were read; the last is the moment.
    pub(crate) fn seen(&mut self) -> Vec<Seen> {
        let mut seen: Vec<Seen> = Vec::with_capacity(self.problem.hours.len());
        let mut before = (0.0, self.now.liquid(self.wash).gravity());
        for &hour in &self.problem.hours {
            self.lead(hour);
            let gravity = self.now.liquid(self.wash).gravity();
            let rate = if hour > before.0 { (before.1 - gravity) / (hour - before.0) } else { 0.0 };
            seen.push(Seen { gravity, ethanol: self.now.ethanol, ph: self.now.ph, rate });
            before = (hour, gravity);
        }
        seen
    }
}
