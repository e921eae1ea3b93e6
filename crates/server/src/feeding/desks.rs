//! The desks of all stills in the file that is at work, and what became of what they handed on.

use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

use feeds::{Desk, Feeds, FeedsError, Fresh, Say, Told};

use crate::clock::Clock;

/// Least time between two rows of a still, s (judgement: a run of a day stays far below its bound,
/// and no probe of a still moves faster).
const ROW_GAP_S: f64 = 1.0;

/// What the threads that read and the task that puts share.
#[derive(Debug)]
pub(crate) struct Desks {
    path: PathBuf,
    clock: Clock,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// Counts the files that were taken: threads of an earlier one are not heard any more.
    generation: u64,
    refused: Option<FeedsError>,
    stills: Vec<AtDesk>,
}

#[derive(Debug)]
struct AtDesk {
    desk: Desk,
    rows: u64,
    /// When the last row was handed on, stored or not, s.
    tried_s: Option<f64>,
    /// When the last row was stored, s.
    stored_s: Option<f64>,
    refused: Option<String>,
}

/// A row on its way into a run.
#[derive(Debug)]
pub(crate) struct Outgoing {
    /// Name of the still.
    pub(crate) still: String,
    /// What is new.
    pub(crate) fresh: Fresh,
    place: usize,
    generation: u64,
}

/// Everything as it stands.
#[derive(Debug)]
pub(crate) struct View {
    /// The file.
    pub(crate) path: PathBuf,
    /// Why the file as it is now is not at work; the last good one is.
    pub(crate) refused: Option<FeedsError>,
    /// The stills of the file at work.
    pub(crate) stills: Vec<StillView>,
}

/// One still as it stands.
#[derive(Debug, Clone)]
pub(crate) struct StillView {
    /// What the file says of it.
    pub(crate) still: feeds::StillFeeds,
    /// Rows that were stored.
    pub(crate) rows: u64,
    /// How long ago the last was, s.
    pub(crate) row_age_s: Option<f64>,
    /// Why the last row was not stored.
    pub(crate) refused: Option<String>,
    /// Every value.
    pub(crate) says: Vec<Say>,
}

impl Desks {
    pub(super) fn new(path: PathBuf, clock: Clock) -> Self {
        Self { path, clock, state: Mutex::default() }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Now on the clock that nobody sets, s.
    fn now_s(&self) -> f64 {
        self.clock.moment().steady_ms as f64 / 1000.0
    }

    /// Puts that file to work; gives the number by which its threads are heard.
    pub(super) fn begin(&self, feeds: Feeds) -> u64 {
        let begun = |still| AtDesk {
            desk: Desk::new(still),
            rows: 0,
            tried_s: None,
            stored_s: None,
            refused: None,
        };
        let mut state = self.state();
        state.generation += 1;
        state.refused = None;
        state.stills = feeds.stills.into_iter().map(begun).collect();
        state.generation
    }

    /// Says that the file as it is now is refused.
    pub(super) fn refuse(&self, error: FeedsError) {
        self.state().refused = Some(error);
    }

    /// Hears a source.
    pub(super) fn hear(&self, from: Seat, told: &Told) {
        let now_s = self.now_s();
        self.at(from, |desk| desk.hear(from.source, now_s, told));
    }

    /// Says that a source cannot be read.
    pub(super) fn trouble(&self, from: Seat, what: &str) {
        self.at(from, |desk| desk.trouble(from.source, what));
    }

    fn at(&self, from: Seat, work: impl FnOnce(&mut Desk)) {
        let mut state = self.state();
        if state.generation != from.generation {
            return;
        }
        if let Some(at) = state.stills.get_mut(from.still) {
            work(&mut at.desk);
        }
    }

    /// What is new at every still, not more often than rows may come.
    pub(crate) fn outgoing(&self) -> Vec<Outgoing> {
        let now_s = self.now_s();
        let mut state = self.state();
        let generation = state.generation;
        let mut outgoing = Vec::new();
        for (place, at) in state.stills.iter_mut().enumerate() {
            if at.tried_s.is_some_and(|tried_s| now_s - tried_s < ROW_GAP_S) {
                continue;
            }
            if let Some(fresh) = at.desk.fresh(now_s) {
                at.tried_s = Some(now_s);
                let still = at.desk.still().name.clone();
                outgoing.push(Outgoing { still, fresh, place, generation });
            }
        }
        outgoing
    }

    /// Notes what became of a row. One that came at a bad moment is tried again while it is one of
    /// now: `again` says that nothing of it was stored.
    pub(crate) fn settled(&self, row: &Outgoing, outcome: Result<(), String>, again: bool) {
        let now_s = self.now_s();
        let mut state = self.state();
        if state.generation != row.generation {
            return;
        }
        let Some(at) = state.stills.get_mut(row.place) else { return };
        if !again {
            at.desk.hand_on(&row.fresh);
        }
        match outcome {
            Ok(()) => {
                at.rows += 1;
                at.stored_s = Some(now_s);
                at.refused = None;
            }
            Err(what) => at.refused = Some(what),
        }
    }

    /// Everything as it stands.
    pub(crate) fn view(&self) -> View {
        let now_s = self.now_s();
        let state = self.state();
        let view = |at: &AtDesk| StillView {
            still: at.desk.still().clone(),
            rows: at.rows,
            row_age_s: at.stored_s.map(|stored_s| now_s - stored_s),
            refused: at.refused.clone(),
            says: at.desk.says(now_s),
        };
        let stills = state.stills.iter().map(view).collect();
        View { path: self.path.clone(), refused: state.refused.clone(), stills }
    }
}

/// Where a reading thread is heard.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seat {
    /// Which file its source stands in.
    pub(super) generation: u64,
    /// Place of the still.
    pub(super) still: usize,
    /// Place of the source.
    pub(super) source: usize,
}
