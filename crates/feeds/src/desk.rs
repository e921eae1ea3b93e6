//! The desk of one still or wash, where all its sources are heard: who speaks for each channel, and what
//! of it is new.

use std::collections::VecDeque;

use sense::{Reading, Sensor};

use crate::file::{FeedsOf, Source};
use crate::heard::{Heard, Standing};
use crate::unread::{Told, Unread};

/// Longest that a reading waits to be handed on, s (judgement: it keeps its own time, and a run
/// that takes none for a minute has lost more than this).
const WAIT_MAX_S: f64 = 60.0;
/// Most rows that wait (judgement: a minute of every channel on its own, ten a second).
const WAITING_MAX: usize = 6000;
/// Readings of several channels so close together are one row, s (judgement: half of a tenth of a
/// second, and no probe of a still moves in it).
const ROW_S: f64 = 0.05;
/// After so many rows of a run its rows are no closer together than [`THIN_ROW_S`] (judgement: half
/// of what a run may have, six hours of ten a second).
const EVERY_ROWS_MAX: u64 = 200_000;
/// See [`EVERY_ROWS_MAX`], s.
const THIN_ROW_S: f64 = 1.0;

/// All sources of a still or a wash as they were heard.
#[derive(Debug, Clone)]
pub struct Desk {
    still: FeedsOf,
    heard: Vec<Vec<Heard>>,
    /// Rows that were not handed on, the oldest first.
    waiting: VecDeque<Row>,
    /// Rows of the run that takes them.
    rows: u64,
}

/// What the speakers said at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// When it was read, s.
    pub at_s: f64,
    /// When it was heard, s.
    heard_s: f64,
    /// What was read, in the order in which it came.
    pub cells: Vec<(Sensor, f64)>,
}

/// One value of one source, as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Say {
    /// The channel.
    pub probe: Sensor,
    /// Place of the source in the file, from 0.
    pub source: usize,
    /// What the source sent last, in its own unit.
    pub raw: Option<f64>,
    /// Its own unit.
    pub raw_unit: &'static str,
    /// The same in the unit of the channel.
    pub value: Option<f64>,
    /// How old that is, s.
    pub age_s: Option<f64>,
    /// How often it is read, s.
    pub every_s: Option<f64>,
    /// How far it can be trusted.
    pub standing: Standing,
    /// Whether it speaks for the channel.
    pub speaks: bool,
    /// What is wrong with it, or why it does not speak.
    pub why: Option<String>,
}

impl Row {
    fn has(&self, probe: Sensor) -> bool {
        self.cells.iter().any(|cell| cell.0 == probe)
    }

    /// Puts the cells of a later row over its own.
    fn take(&mut self, later: &Self) {
        self.cells.retain(|cell| !later.has(cell.0));
        self.cells.extend(&later.cells);
    }

    /// Of a still, as a row of its run.
    #[must_use]
    pub fn reading(&self) -> Reading {
        let mut reading = Reading::default();
        for (sensor, value) in &self.cells {
            if let Sensor::Still(probe) = sensor {
                reading.set(*probe, Some(*value));
            }
        }
        reading
    }
}

impl Desk {
    /// A desk that has heard nothing.
    #[must_use]
    pub fn new(still: FeedsOf) -> Self {
        let of = |source: &Source| {
            let every_s = source.kind.reads_each_s();
            source.values.iter().map(|value| Heard::of(value.probe, every_s)).collect()
        };
        let heard = still.sources.iter().map(of).collect();
        Self { still, heard, waiting: VecDeque::new(), rows: 0 }
    }

    /// The desk of that still after a change of the file: a source that is as it was is known as it
    /// was, and what waits waits on.
    #[must_use]
    pub fn changed_to(mut self, still: FeedsOf) -> Self {
        let mut next = Self::new(still);
        for (source, heard) in next.still.sources.iter().zip(&mut next.heard) {
            if let Some(place) = self.still.sources.iter().position(|known| known == source) {
                *heard = std::mem::take(&mut self.heard[place]);
            }
        }
        (next.waiting, next.rows) = (self.waiting, self.rows);
        next
    }

    /// Whose it is.
    #[must_use]
    pub const fn still(&self) -> &FeedsOf {
        &self.still
    }

    /// Hears a source at `now_s`, of what was read at `at_s`. Times come from a clock that nobody
    /// sets, as run time does.
    pub fn hear(&mut self, source: usize, (at_s, now_s): (f64, f64), told: &Told) {
        match told {
            Ok(values) => {
                for (place, told) in values.iter().enumerate() {
                    self.hear_value(source, place, (at_s, now_s), told);
                }
            }
            Err(unread) => self.trouble(source, &unread.to_string()),
        }
    }

    /// Hears one value of a source. What the speaker of a channel said is a reading of the run.
    pub fn hear_value(
        &mut self,
        source: usize,
        place: usize,
        (at_s, now_s): (f64, f64),
        told: &Result<f64, Unread>,
    ) {
        let wanted = self.still.sources.get(source).and_then(|source| source.values.get(place));
        let heard = self.heard.get_mut(source).and_then(|values| values.get_mut(place));
        let (Some(wanted), Some(heard)) = (wanted, heard) else { return };
        let probe = wanted.probe;
        let Some(value) = heard.take(at_s, told, wanted) else { return };
        if self.speaks(probe, at_s) == Some(source) {
            self.wait(at_s, now_s, probe, value);
        }
    }

    /// Puts a reading among the rows that wait, in the order of time.
    fn wait(&mut self, at_s: f64, heard_s: f64, probe: Sensor, value: f64) {
        let after = self.waiting.partition_point(|row| row.at_s <= at_s);
        let before = after.checked_sub(1).and_then(|place| self.waiting.get_mut(place));
        let open = before.filter(|row| at_s - row.at_s <= ROW_S && !row.has(probe));
        if let Some(row) = open {
            row.cells.push((probe, value));
        } else {
            let cells = vec![(probe, value)];
            self.waiting.insert(after, Row { at_s, heard_s, cells });
        }
        if self.waiting.len() > WAITING_MAX {
            self.waiting.pop_front();
        }
    }

    /// Says that a source cannot be read, and why.
    pub fn trouble(&mut self, source: usize, what: &str) {
        let of_it = self.heard.get_mut(source).into_iter().flatten();
        of_it.for_each(|heard| heard.trouble(what));
    }

    /// What can speak for a channel: source and value, first first.
    fn of(&self, probe: Sensor) -> impl Iterator<Item = (usize, &Heard)> {
        let order = self.still.order.get(&probe).into_iter().flatten();
        order.filter_map(move |&source| {
            let values = &self.still.sources.get(source)?.values;
            let value = values.iter().position(|wanted| wanted.probe == probe)?;
            Some((source, self.heard.get(source)?.get(value)?))
        })
    }

    /// Who speaks for a channel: the first that is fresh. Where none is, the first from which
    /// anything comes: it goes into the run as it is, so that the run says what is wrong with it.
    fn speaker(&self, probe: Sensor, now_s: f64) -> Option<(usize, &Heard)> {
        let fresh = self.of(probe).find(|(_, heard)| heard.fresh(now_s));
        fresh.or_else(|| self.of(probe).find(|(_, heard)| heard.comes(now_s)))
    }

    /// The source that speaks for a channel.
    #[must_use]
    pub fn speaks(&self, probe: Sensor, now_s: f64) -> Option<usize> {
        self.speaker(probe, now_s).map(|(source, _)| source)
    }

    /// Takes the rows that wait, the oldest first; what waited too long is left out.
    pub fn take(&mut self, now_s: f64) -> Vec<Row> {
        self.waiting.retain(|row| now_s - row.heard_s <= WAIT_MAX_S);
        if self.rows <= EVERY_ROWS_MAX {
            return self.waiting.drain(..).collect();
        }
        let mut thin: Vec<Row> = Vec::new();
        for row in self.waiting.drain(..) {
            let last = thin.last_mut().filter(|last| row.at_s - last.at_s < THIN_ROW_S);
            match last {
                Some(last) => last.take(&row),
                None => thin.push(row),
            }
        }
        thin
    }

    /// Whether rows wait to be taken.
    #[must_use]
    pub fn waits(&self) -> bool {
        !self.waiting.is_empty()
    }

    /// Puts rows back that were taken at a bad moment.
    pub fn take_back(&mut self, rows: Vec<Row>) {
        for row in rows.into_iter().rev() {
            self.waiting.push_front(row);
        }
    }

    /// How far apart rows should be taken, s: nought while every row counts.
    #[must_use]
    pub const fn row_gap_s(&self) -> f64 {
        if self.rows > EVERY_ROWS_MAX { THIN_ROW_S } else { 0.0 }
    }

    /// Says how many rows the run has now that takes them.
    pub const fn run_has(&mut self, rows: u64) {
        self.rows = rows;
    }

    /// Everything as it stands, channel by channel, first first.
    #[must_use]
    pub fn says(&self, now_s: f64) -> Vec<Say> {
        let channels = self.still.order.keys();
        channels.flat_map(|&probe| self.of_channel(probe, now_s)).collect()
    }

    fn of_channel(&self, probe: Sensor, now_s: f64) -> Vec<Say> {
        let speaker = self.speaks(probe, now_s);
        let name = |source: usize| self.still.sources[source].name.as_str();
        let say = |(source, heard): (usize, &Heard)| {
            let wanted =
                self.still.sources[source].values.iter().find(|wanted| wanted.probe == probe);
            let unit = wanted.map_or("", |wanted| wanted.unit.name());
            let behind = || speaker.filter(|&other| other != source).map(name);
            let why = heard.why(now_s);
            let why = why.or_else(|| behind().map(|name| format!("\"{name}\" stands before it")));
            Say {
                probe,
                source,
                raw: heard.last().map(|read| read.raw),
                raw_unit: unit,
                value: heard.last().map(|read| read.value),
                age_s: heard.last().map(|read| (now_s - read.at_s).max(0.0)),
                every_s: heard.every_s(),
                standing: heard.standing(now_s),
                speaks: speaker == Some(source),
                why,
            }
        };
        self.of(probe).map(say).collect()
    }
}
