//! The desks of all stills and washes in the file that is at work, and what became of what they handed on.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use feeds::{Broker, Desk, Feeds, FeedsError, Row, Say, Sifted, Source, Thin, Unread, Whose};
use sense::Sensor;
use tokio::sync::Notify;

use crate::clock::Clock;
use crate::session::{Fed, fed_units};

/// Wait before a still whose rows were not taken is tried again, s (judgement), and a wash: a run is
/// begun at any moment, and a wash tells nothing in a minute.
const AGAIN_S: f64 = 1.0;
/// See [`AGAIN_S`], s.
const WASH_AGAIN_S: f64 = 10.0;
/// Messages that come within one tick of the clock are this far apart, s: each is a reading of its
/// own.
const APART_S: f64 = 0.001;
/// How far that may run ahead of the clock, s: what comes faster for so long is passed over.
const AHEAD_MAX_S: f64 = 1.0;

/// What the threads that read and the task that puts share.
#[derive(Debug)]
pub(crate) struct Desks {
    path: PathBuf,
    clock: Clock,
    state: Mutex<State>,
    /// Told of each reading that waits.
    news: Notify,
}

#[derive(Debug, Default)]
struct State {
    refused: Option<FeedsError>,
    /// Stills, then washes.
    stills: Vec<AtDesk>,
    broker: Option<Broker>,
    /// How it stands with telling it.
    told: Told,
    /// Number of the next seat.
    next: u64,
}

#[derive(Debug)]
struct AtDesk {
    desk: Desk,
    /// Of a wash, what of it became entries.
    thin: Thin,
    /// Where each source of it is heard.
    seats: Vec<Seated>,
    rows: u64,
    /// Before then nothing is handed on, s.
    not_before_s: f64,
    /// Rows of it are on their way.
    on_their_way: bool,
    /// When the last row was stored, s.
    stored_s: Option<f64>,
    refused: Option<String>,
}

/// How it stands with telling the broker.
#[derive(Debug, Clone, Default)]
pub(crate) struct Told {
    /// Whether it is connected.
    pub(crate) connected: bool,
    /// Why not, or what went wrong.
    pub(crate) why: Option<String>,
}

/// Where a reading thread is heard, as long as its source stands in the file as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Seat(u64);

#[derive(Debug, Clone, Copy)]
struct Seated {
    seat: Seat,
    /// When its last reading was read, s.
    last_s: f64,
}

/// Rows on their way into a run.
#[derive(Debug)]
pub(crate) struct Outgoing {
    /// Whether it is a still or a wash.
    pub(crate) whose: Whose,
    /// Name of the still, or of the wash.
    pub(crate) still: String,
    /// How it was with thinning before these rows were taken.
    thin: Thin,
    /// What is new, the oldest first, times by the steady clock; and what its sources count in.
    pub(crate) fed: Fed,
}

/// What became of them.
#[derive(Debug)]
pub(crate) enum Outcome {
    /// So many were stored, of a run that has so many now.
    Stored { rows: u64, of_run: u64 },
    /// They were refused, for this reason.
    Refused(String),
    /// They came at a bad moment: nothing was stored, and they are tried again.
    Again(String),
}

/// Everything as it stands.
#[derive(Debug)]
pub(crate) struct View {
    /// The file.
    pub(crate) path: PathBuf,
    /// Why the file as it is now is not at work; the last good one is.
    pub(crate) refused: Option<FeedsError>,
    /// The stills of the file at work, then its washes.
    pub(crate) stills: Vec<StillView>,
    /// The broker of the file at work, and how it stands with telling it.
    pub(crate) broker: Option<(Broker, Told)>,
}

/// One still or wash as it stands.
#[derive(Debug, Clone)]
pub(crate) struct StillView {
    /// What the file says of it.
    pub(crate) still: feeds::FeedsOf,
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
        Self { path, clock, state: Mutex::default(), news: Notify::new() }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Now on the clock that nobody sets, s.
    pub(super) fn now_s(&self) -> f64 {
        self.clock.moment().steady_ms as f64 / 1000.0
    }

    /// Now on the wall, ms UTC.
    pub(super) fn now_utc_ms(&self) -> i64 {
        self.clock.now_ms()
    }

    /// The folder that the file lies in.
    pub(crate) fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new(""))
    }

    /// The broker of the file at work.
    pub(crate) fn broker(&self) -> Option<Broker> {
        self.state().broker.clone()
    }

    /// Notes how it stands with telling the broker.
    pub(crate) fn tells(&self, told: Told) {
        self.state().told = told;
    }

    /// Puts that file to work, and gives every source with its seat: that of before where it stands
    /// in the file as before.
    pub(super) fn begin(&self, feeds: Feeds) -> Vec<(Seat, Source)> {
        let mut state = self.state();
        state.refused = None;
        if state.broker != feeds.broker {
            (state.broker, state.told) = (feeds.broker, Told::default());
        }
        let mut before = std::mem::take(&mut state.stills);
        let mut all = Vec::new();
        for still in feeds.stills.into_iter().chain(feeds.washes) {
            let known = before.iter().position(|at| at.is(still.whose, &still.name));
            let known = known.map(|place| before.swap_remove(place));
            let mut seats = Vec::new();
            for source in &still.sources {
                let seated = known.as_ref().and_then(|at| at.seated(source)).unwrap_or_else(|| {
                    state.next += 1;
                    Seated { seat: Seat(state.next), last_s: f64::NEG_INFINITY }
                });
                all.push((seated.seat, source.clone()));
                seats.push(seated);
            }
            state.stills.push(match known {
                Some(at) => AtDesk { desk: at.desk.changed_to(still), seats, ..at },
                None => AtDesk::new(Desk::new(still), seats),
            });
        }
        all
    }

    /// Says that the file as it is now is refused.
    pub(super) fn refuse(&self, error: FeedsError) {
        self.state().refused = Some(error);
    }

    /// Hears a source that was looked at now.
    pub(super) fn hear(&self, from: Seat, told: &feeds::Told) {
        self.hear_ago(from, 0.0, told);
    }

    /// Hears what a source said so long ago, s; one that is not later than the last is passed over.
    pub(super) fn hear_ago(&self, from: Seat, ago_s: f64, told: &feeds::Told) {
        let now_s = self.now_s();
        self.at(from, |at, source| at.desk.hear(source, (now_s - ago_s, now_s), told));
    }

    /// Hears what a source said so long ago: a reading of its own, however fast they come.
    pub(super) fn hear_apart(&self, from: Seat, ago_s: f64, told: &feeds::Told) {
        let now_s = self.now_s();
        self.at(from, |at, source| {
            if let Some(at_s) = at.seats[source].apart(now_s, ago_s) {
                at.desk.hear(source, (at_s, now_s), told);
            }
        });
    }

    /// Hears values of a source, each with its place.
    pub(super) fn hear_values(&self, from: Seat, values: &[(usize, Result<f64, Unread>)]) {
        let now_s = self.now_s();
        self.at(from, |at, source| {
            let Some(at_s) = at.seats[source].apart(now_s, 0.0) else { return };
            for (place, told) in values {
                at.desk.hear_value(source, *place, (at_s, now_s), told);
            }
        });
    }

    /// Says that a source cannot be read.
    pub(super) fn trouble(&self, from: Seat, what: &str) {
        self.at(from, |at, source| at.desk.trouble(source, what));
    }

    fn at(&self, from: Seat, work: impl FnOnce(&mut AtDesk, usize)) {
        let mut state = self.state();
        let found = state.stills.iter_mut().find_map(|at| {
            let source = at.seats.iter().position(|seated| seated.seat == from)?;
            Some((at, source))
        });
        if let Some((at, source)) = found {
            work(at, source);
            drop(state);
            self.news.notify_one();
        }
    }

    /// Waits until something may be new.
    pub(crate) async fn news(&self) {
        self.news.notified().await;
    }

    /// What is new at every still and wash that takes rows now.
    pub(crate) fn outgoing(&self) -> Vec<Outgoing> {
        let now_s = self.now_s();
        let mut state = self.state();
        let mut outgoing = Vec::new();
        for at in &mut state.stills {
            if at.on_their_way || now_s < at.not_before_s {
                continue;
            }
            let thin = at.thin.clone();
            let rows = at.take(now_s);
            if !rows.is_empty() {
                at.on_their_way = true;
                let (still, units) = (at.desk.still(), fed_units(at.desk.still()));
                let (whose, still, fed) = (still.whose, still.name.clone(), Fed { rows, units });
                outgoing.push(Outgoing { whose, still, thin, fed });
            }
        }
        outgoing
    }

    /// Notes what became of rows.
    pub(crate) fn settled(&self, sent: Outgoing, outcome: Outcome) {
        let now_s = self.now_s();
        let mut state = self.state();
        let at = state.stills.iter_mut().find(|at| at.is(sent.whose, &sent.still));
        let Some(at) = at else { return };
        at.on_their_way = false;
        // What came meanwhile was passed over, and need not wait for what comes next.
        let waits = at.desk.waits();
        match outcome {
            Outcome::Stored { rows, of_run } => {
                at.rows += rows;
                at.desk.run_has(of_run);
                at.not_before_s = now_s + at.desk.row_gap_s();
                at.stored_s = Some(now_s);
                at.refused = None;
            }
            Outcome::Refused(what) => {
                let wait_s = if sent.whose == Whose::Wash { WASH_AGAIN_S } else { AGAIN_S };
                at.not_before_s = now_s + wait_s;
                at.thin = sent.thin;
                at.refused = Some(what);
            }
            Outcome::Again(what) => {
                at.desk.take_back(sent.fed.rows);
                at.thin = sent.thin;
                at.refused = Some(what);
                return;
            }
        }
        drop(state);
        if waits {
            self.news.notify_one();
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
        let broker = state.broker.clone().map(|broker| (broker, state.told.clone()));
        View { path: self.path.clone(), refused: state.refused.clone(), stills, broker }
    }
}

impl AtDesk {
    const fn new(desk: Desk, seats: Vec<Seated>) -> Self {
        Self {
            desk,
            thin: Thin::new(),
            seats,
            rows: 0,
            not_before_s: f64::NEG_INFINITY,
            on_their_way: false,
            stored_s: None,
            refused: None,
        }
    }

    fn is(&self, whose: Whose, name: &str) -> bool {
        self.desk.still().whose == whose && self.desk.still().name == name
    }

    /// What is new and is to be kept.
    fn take(&mut self, now_s: f64) -> Vec<Row> {
        let mut rows = self.desk.take(now_s);
        if self.desk.still().whose == Whose::Wash {
            for row in &mut rows {
                row.cells.retain(|&(sensor, value)| match sensor {
                    Sensor::Wash(probe) => self.thin.sift(probe, row.at_s, value) == Sifted::Kept,
                    Sensor::Still(_) => false,
                });
            }
            rows.retain(|row| !row.cells.is_empty());
        }
        rows
    }

    /// The seat of a source that stands here as it is.
    fn seated(&self, source: &Source) -> Option<Seated> {
        let place = self.desk.still().sources.iter().position(|known| known == source)?;
        self.seats.get(place).copied()
    }
}

impl Seated {
    /// The time of a reading of its own that was read so long ago; none where they come too fast.
    fn apart(&mut self, now_s: f64, ago_s: f64) -> Option<f64> {
        let mut at_s = now_s - ago_s;
        if at_s <= self.last_s && self.last_s - at_s < AHEAD_MAX_S {
            at_s = self.last_s + APART_S;
        }
        if at_s > now_s + AHEAD_MAX_S {
            return None;
        }
        self.last_s = self.last_s.max(at_s);
        Some(at_s)
    }
}
