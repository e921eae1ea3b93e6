//! The steps in time that lead every possible wash of one problem to the moment.

use crate::events::Event;
use crate::temperature::Temperatures;

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

/// One step towards the moment.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub(crate) hours: f64,
    pub(crate) read_c: Option<f64>,
    /// Events there are up to its end.
    pub(crate) events: usize,
    /// Its end was read.
    pub(crate) read: bool,
}

/// All steps to the last of some hours; they end at each of these, and at events.
pub(crate) fn steps(
    hours: &[f64],
    events: &[(f64, Event)],
    temperatures: &Temperatures,
) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut time_h = 0.0;
    let happened = |time_h: f64| events.partition_point(|event| event.0 <= time_h + 1e-9);
    for &until in hours {
        loop {
            let left = until - time_h;
            if left <= 1e-9 {
                break;
            }
            let event = events.get(happened(time_h)).map_or(f64::INFINITY, |e| e.0);
            let stop = until.min(event);
            let h = step_h(time_h).min(stop - time_h).max(1e-6);
            let read_c = temperatures.at(time_h + 0.5 * h);
            time_h += h;
            steps.push(Step { hours: h, read_c, events: happened(time_h), read: false });
        }
        if let Some(step) = steps.last_mut() {
            step.read = true;
        }
    }
    steps
}
