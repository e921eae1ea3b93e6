//! What is kept of a tracked still on the way.

use super::points::{PROBE_SIDE, Point, Track};
use crate::column::Draw;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::plant::{Phase, Plant};

/// Window of the running mean of the head, s of drawing.
const HEAD_WINDOW_S: f64 = 600.0;

/// Seconds that are no time at all beside a step of the integrator.
const ROUNDING_S: f64 = 1e-6;

/// The head of a column answers to another take-off within about this, s (judgement: what its
/// stages hold is exchanged in minutes).
const ANSWERS_S: f64 = 300.0;

/// The step that is drawn by, and since when.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct RunningStep {
    pub(super) index: usize,
    pub(super) begun_s: f64,
}

impl RunningStep {
    /// Position of the step that the head shows at a time.
    pub(super) fn answered_at(&self, time_s: f64) -> usize {
        let answered = time_s - self.begun_s >= ANSWERS_S;
        if answered { self.index } else { self.index.saturating_sub(1) }
    }
}

/// The track so far.
pub(super) struct Notes {
    pub(super) track: Track,
    /// When the first hearts began, s.
    pub(super) hearts_s: Option<f64>,
    /// The step that is drawn by.
    pub(super) step: RunningStep,
}

impl Notes {
    pub(super) fn new(hearts_s: Option<f64>) -> Self {
        Self { track: Track::default(), hearts_s, step: RunningStep::default() }
    }

    /// Keeps the plant's present as a point of the track, once the column is full.
    pub(super) fn note<const C: usize, E: Equilibrium<C>>(
        &mut self,
        plant: &mut Plant<C, E>,
    ) -> Result<(), StillError> {
        if plant.phase == Phase::Cold {
            return Ok(());
        }
        plant.look(plant.time_s)?;
        let point = self.point(plant)?;
        if self.track.points.last().is_some_and(|last| last.time_s >= point.time_s) {
            self.track.points.pop();
        }
        self.track.points.push(point);
        if plant.runs() && plant.column.draw != Draw::Closed {
            self.lowest();
        }
        Ok(())
    }

    fn point<const C: usize, E: Equilibrium<C>>(
        &self,
        plant: &Plant<C, E>,
    ) -> Result<Point, StillError> {
        let (drum, drawn, pot) = (plant.drum(), plant.drawn_mol(), plant.pot_mol());
        let runs = plant.runs() && !plant.rested();
        let head_k = if runs { plant.head_k()? } else { None };
        let last_k = self.track.points.last().map(|last| last.head_k);
        let place = plant.column.apparatus.column_probe;
        let when_running = |value: f64| if runs { value } else { 0.0 };
        Ok(Point {
            time_s: plant.time_s,
            head_k: head_k.or(last_k).unwrap_or(plant.start_up().head_jump_k),
            column_k: plant.column_k([place - PROBE_SIDE, place, place + PROBE_SIDE]),
            pot_k: plant.seen_pot_k(),
            drum_x: drum[1] / (drum[0] + drum[1]),
            drawn_mol: [drawn[0], drawn[1]],
            pot_mol: [pot[0], pot[1]],
            vapour_mol_s: when_running(plant.vapours().1),
            duty_w: when_running(plant.duty_w()),
            draw_mol_s: when_running(plant.draw_mol_s()),
        })
    }

    /// The lowest mean of the head over ten minutes of drawing hearts, up to now: while the take-off
    /// is closed the head of a column falls, and that is no plateau.
    fn lowest(&mut self) {
        let Some(hearts_s) = self.hearts_s else { return };
        let Some(mean_k) = mean_head_drawing(&self.track.points, hearts_s) else { return };
        let lowest = self.track.lowest_head_k.unwrap_or(mean_k);
        self.track.lowest_head_k = Some(lowest.min(mean_k));
        if self.track.end.is_none() {
            self.track.end = self.track.kelvin_end(hearts_s, &self.step);
        }
    }
}

/// Mean of the head over the last [`HEAD_WINDOW_S`] in which spirit was drawn, by straight lines;
/// none where there were not so many since `from_s`.
fn mean_head_drawing(points: &[Point], from_s: f64) -> Option<f64> {
    let (mut sum, mut left_s) = (0.0, HEAD_WINDOW_S);
    for pair in points.windows(2).rev() {
        let (low, high) = (&pair[0], &pair[1]);
        let span_s = high.time_s - low.time_s;
        if high.time_s <= from_s {
            break;
        }
        if span_s <= 0.0 || low.draw_mol_s <= 0.0 || high.draw_mol_s <= 0.0 {
            continue;
        }
        let low_s = low.time_s.max(from_s).max(high.time_s - left_s);
        let width_s = high.time_s - low_s;
        let low_k = high.head_k + (low.head_k - high.head_k) * width_s / span_s;
        sum += width_s * 0.5 * (low_k + high.head_k);
        left_s -= width_s;
        if left_s <= ROUNDING_S {
            return Some(sum / (HEAD_WINDOW_S - left_s));
        }
    }
    None
}
