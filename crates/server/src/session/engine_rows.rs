//! The engine of one run and the rows it has had, in the order a replay of the record gives them.
//!
//! A row that comes late, or one that is withdrawn, changes the past: it is then gone through again
//! from the last engine kept before that row, so that what is known is always what the record
//! says. Pure: no clock.

use advise::{ASK_EVERY_S, Answer, Event, Knowledge, Live, Request, RunEnd};

use super::answers::{Answers, Source};
use super::checkpoints::Checkpoints;
use super::points::{POINT_EVERY_S, Points, point};
use super::row::{Entry, Row};
use super::said::SaidBefore;
use sense::Lateness;

use crate::wire::run::ColumnsWire;

/// Seconds for which rows before a question still come: so long it is not worked out. Judgement.
const SETTLE_S: u64 = 4;

/// A time before every row, s.
const BEFORE_ALL_S: f64 = -1.0;

/// A question of the engine: whether it is still open shows when its answer comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ticket {
    /// How often a question had been given up because the past changed.
    built: u64,
    /// When it was asked.
    second: u64,
}

/// The engine of one run with its rows.
#[derive(Debug)]
pub(crate) struct EngineRows {
    fresh: Live,
    live: Live,
    /// All rows in their order.
    rows: Vec<Row>,
    /// How many of them the engine has had.
    fed: usize,
    ticked: Option<u64>,
    checkpoints: Checkpoints,
    said: SaidBefore,
    points: Points,
    answers: Answers<Answer>,
    /// The question the engine goes on without an answer to, until its answer takes effect.
    open: Option<Ticket>,
    /// That question, where nobody has taken it on.
    question: Option<Request>,
    built: u64,
    /// Where the past that is being played ends, s: what is asked long before is let go by.
    past_end: u64,
    /// Seconds that were gone through again.
    replayed: u64,
    /// How late the readings of each channel come.
    lateness: Lateness,
}

impl EngineRows {
    /// No rows yet, for an engine at run time 0.
    pub(crate) fn of(fresh: Live) -> Self {
        Self {
            live: fresh.clone(),
            fresh,
            rows: Vec::new(),
            fed: 0,
            ticked: None,
            checkpoints: Checkpoints::default(),
            said: SaidBefore::default(),
            points: Points::default(),
            answers: Answers::default(),
            open: None,
            question: None,
            built: 0,
            past_end: 0,
            replayed: 0,
            lateness: Lateness::default(),
        }
    }

    /// Its rows come in order: the past is hardly ever gone through again.
    pub(crate) fn expect_order(&mut self) {
        self.checkpoints.be_sparse();
    }

    /// Takes note of what was said before this engine was built.
    pub(crate) fn remember(&mut self, time_s: f64, code: &str, text: &str) {
        self.said.remember(time_s, code, text);
    }

    /// The last second that was ended.
    pub(crate) fn ticked(&self) -> Option<u64> {
        self.ticked
    }

    /// How many rows there are.
    pub(crate) fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// Takes a row and returns what is new to say.
    pub(crate) fn put(&mut self, row: Row) -> Vec<Event> {
        self.put_all(vec![row])
    }

    /// Takes rows and returns what is new to say; the past is gone through again once at most.
    pub(crate) fn put_all(&mut self, rows: Vec<Row>) -> Vec<Event> {
        let mut late_s: Option<f64> = None;
        self.note_late(&rows);
        for row in rows {
            let at = self.rows.partition_point(|other| row.order(other).is_ge());
            if late_s.is_some() || at < self.fed || self.is_late(&row) {
                self.answers.rows_changed(row.time_s());
                late_s = Some(late_s.map_or(row.time_s(), |before| before.min(row.time_s())));
            }
            self.rows.insert(at, row);
        }
        let said = match late_s {
            Some(from_s) => self.again(from_s),
            None => self.feed_due(),
        };
        self.said.only_new(said)
    }

    /// Keeps what of these rows of readings comes late: a feeder that sends each minute what it read
    /// meanwhile will do so again.
    fn note_late(&mut self, rows: &[Row]) {
        let Some(now_s) = self.ticked.map(|second| second as f64) else { return };
        let readings = rows.iter().filter_map(|row| match row {
            // What a person entered late says nothing of a feeder.
            Row::Reading(0, time_s, reading) => Some((*time_s, reading)),
            _ => None,
        });
        self.lateness.take(now_s, readings);
    }

    fn is_late(&self, row: &Row) -> bool {
        let ended = self.live.end().is_some();
        self.ticked.is_some_and(|second| ended || row.time_s() <= second as f64)
    }

    /// Gives the engine all rows of that second.
    fn feed_until(&mut self, second: u64) -> Vec<Event> {
        let mut said = Vec::new();
        while let Some(row) = self.rows.get(self.fed).filter(|row| row.time_s() <= second as f64) {
            said.extend(self.live.row(row.recorded()));
            self.fed += 1;
        }
        said
    }

    /// Gives the engine the rows of the second that is going on; later ones wait for theirs.
    fn feed_due(&mut self) -> Vec<Event> {
        self.feed_until(self.ticked.map_or(0, |second| second + 1))
    }

    /// Leaves the rows of those entries out, puts one in their place, and returns what is new to
    /// say; the past is gone through again once.
    pub(crate) fn amend(&mut self, gone: &[Entry], new: Option<Row>) -> Vec<Event> {
        let is_gone = |row: &Row| row.entry().is_some_and(|entry| gone.contains(&entry));
        let changed = self.rows.iter().filter(|row| is_gone(row)).chain(&new);
        let Some(from_s) = changed.map(Row::time_s).min_by(f64::total_cmp) else {
            return Vec::new();
        };
        self.rows.retain(|row| !is_gone(row));
        if let Some(row) = new {
            let at = self.rows.partition_point(|other| row.order(other).is_ge());
            self.rows.insert(at, row);
        }
        self.answers.rows_changed(from_s);
        let said = self.again(from_s);
        let new = self.said.only_new(said);
        self.said.let_go();
        new
    }

    /// Reckons the whole run with another engine at run time 0: one that knows another size of
    /// jar. What would have been said before is not said now.
    pub(crate) fn reckon_with(&mut self, fresh: Live) {
        self.fresh = fresh;
        self.answers.rows_changed(BEFORE_ALL_S);
        let said = self.again(BEFORE_ALL_S);
        drop(self.said.only_new(said));
        self.said.let_go();
    }

    /// Ends a second, all of whose rows are in.
    pub(crate) fn tick(&mut self, second: u64) -> Vec<Event> {
        let mut said = self.feed_until(second);
        said.extend(self.live.tick(second));
        self.after_tick(second, self.past_end.max(second), false);
        said.extend(self.feed_due());
        self.said.only_new(said)
    }

    /// The record ends here.
    pub(crate) fn close(&mut self) -> Vec<Event> {
        let said = self.live.close();
        self.said.only_new(said)
    }

    /// Everything that is known now.
    pub(crate) fn knowledge(&self) -> Knowledge {
        self.live.knowledge()
    }

    /// How the run ended, once it has.
    pub(crate) fn end(&self) -> Option<RunEnd> {
        self.live.end()
    }

    /// The engine, to look at.
    pub(crate) fn live(&self) -> &Live {
        &self.live
    }

    /// The measured past.
    pub(crate) fn columns(&self) -> ColumnsWire {
        self.points.columns()
    }

    /// Says that the past is played up to that second.
    pub(crate) fn play_until(&mut self, second: u64) {
        self.past_end = second;
    }

    /// A question that is to be worked out elsewhere, once rows before it hardly come any more.
    pub(crate) fn take_question(&mut self) -> Option<(Ticket, Request)> {
        let ticket = self.open?;
        let settled = self.ticked.is_some_and(|second| second >= ticket.second + SETTLE_S);
        Some((ticket, self.question.take_if(|_| settled)?))
    }

    /// Takes the answer to a question that was taken on; one that is not open any more is dropped.
    pub(crate) fn answered(&mut self, ticket: Ticket, answer: Answer) {
        if self.open == Some(ticket) {
            self.open = None;
            self.answers.keep(ticket.second, answer.clone());
            self.live.answer(answer);
        }
    }

    /// Whether an answer is missing that takes effect at the tick of that second.
    pub(crate) fn awaits(&self, second: u64) -> bool {
        self.open.is_some_and(|open| second >= open.second + ASK_EVERY_S)
    }

    /// Goes on without an answer to the open question.
    pub(crate) fn let_pass(&mut self) {
        if self.open.take().is_some() {
            self.question = None;
            self.live.pass();
        }
    }

    /// Answers what the engine asks after that second of a past up to `last`. A question holds all
    /// rows so far: it is taken only where it is worked out. A past that is gone through again is
    /// held up by none.
    fn listen(&mut self, second: u64, last: u64, again: bool) {
        if !second.is_multiple_of(ASK_EVERY_S) {
            return;
        }
        (self.open, self.question) = (None, None);
        match self.answers.source(second, last) {
            Source::Known(answer) => self.live.answer(answer),
            Source::Passed => self.live.pass(),
            Source::Anew if again => self.as_before(second),
            Source::Anew => {
                let Some(request) = self.live.request() else { return };
                let answer = request.compute();
                self.answers.keep(second, answer.clone());
                self.live.answer(answer);
            }
            Source::Later => {
                self.question = self.live.request();
                let ticket = Ticket { built: self.built, second };
                self.open = self.question.is_some().then_some(ticket);
            }
        }
    }

    /// The question of that second is answered as it was before, or passed as it was.
    fn as_before(&mut self, second: u64) {
        match self.answers.kept(second) {
            Some(answer) => self.live.answer(answer),
            None => self.live.pass(),
        }
    }

    fn after_tick(&mut self, second: u64, last: u64, again: bool) {
        self.ticked = Some(second);
        self.listen(second, last, again);
        if second.is_multiple_of(POINT_EVERY_S) {
            self.points.push(point(&self.live.knowledge()));
        }
        if self.live.end().is_none() {
            self.checkpoints.offer(second, last, &self.live);
        }
    }

    /// Goes through the past again from before that time, as a replay does.
    fn again(&mut self, from_s: f64) -> Vec<Event> {
        let last = self.ticked;
        self.go_back(from_s);
        let mut said = Vec::new();
        for second in self.ticked.map_or(0, |second| second + 1)..last.map_or(0, |last| last + 1) {
            said.extend(self.feed_until(second));
            said.extend(self.live.tick(second));
            self.after_tick(second, last.unwrap_or(second), true);
            self.replayed += 1;
        }
        said.extend(self.feed_due());
        self.live.expect_late(&self.lateness);
        said
    }

    /// Puts the newest engine in place that has had no row of that time or later.
    fn go_back(&mut self, from_s: f64) {
        let found = self.checkpoints.back_to(from_s);
        (self.ticked, self.live) = match found {
            Some((second, live)) => (Some(second), live.clone()),
            None => (None, self.fresh.clone()),
        };
        let had = |row: &Row| self.ticked.is_some_and(|second| row.time_s() <= second as f64);
        self.fed = self.rows.partition_point(had);
        self.live.expect_late(&self.lateness);
        self.points.forget_after(self.ticked);
        self.said.again_from(self.ticked);
        let asked = |ticket: Ticket| self.ticked.is_some_and(|second| ticket.second <= second);
        if self.open.is_some_and(asked) {
            // No row before that question has changed: its answer will hold.
            return;
        }
        (self.open, self.question) = (None, None);
        self.built += 1;
        if let Some(second) = self.ticked {
            // What was answered or passed since that engine was kept.
            self.as_before(second - second % ASK_EVERY_S);
        }
    }
}

#[cfg(test)]
mod tests;
