//! The course of one possible wash in time: to the moment, at the hours that were read, and on.

use crate::kinetics::Now;
use crate::problem::Problem;
use crate::steps::step_h;
use crate::wash::Wash;

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

    /// Leads it to the moment.
    pub(crate) fn lead_to_moment(&mut self, mut each: impl FnMut(&Now)) {
        for step in &self.problem.steps {
            self.now.step(self.problem, self.wash, step.hours, step.read_c);
            while self.next_event < step.events {
                self.now.happen(self.wash, self.problem.events[self.next_event].1);
                self.next_event += 1;
            }
            if step.read {
                each(&self.now);
            }
        }
    }

    /// What is seen at the hours that were read; the last is the moment.
    pub(crate) fn seen(&mut self) -> Vec<Seen> {
        let hours = &self.problem.hours;
        let wash = self.wash;
        let mut seen: Vec<Seen> = Vec::with_capacity(hours.len());
        let mut before = (0.0, self.now.liquid(wash).gravity());
        let first =
            Seen { gravity: before.1, ethanol: self.now.ethanol, ph: self.now.ph, rate: 0.0 };
        seen.extend(hours.iter().take_while(|&&hour| hour <= 1e-9).map(|_| first));
        self.lead_to_moment(|now| {
            let hour = now.time_h;
            let gravity = now.liquid(wash).gravity();
            let rate = (before.1 - gravity) / (hour - before.0).max(1e-9);
            seen.push(Seen { gravity, ethanol: now.ethanol, ph: now.ph, rate });
            before = (hour, gravity);
        });
        seen
    }
}
