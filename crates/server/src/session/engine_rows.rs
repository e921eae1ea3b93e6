//! The engine of one run and the rows it has had, in the order a replay of the record gives them.
//!
//! A row that comes late, or one that is withdrawn, changes the past: the engine is then built
//! anew from the rows, so that what it knows is always what the record says. Pure: no clock.

use std::collections::HashSet;

use advise::AdviseError;
use advise::{ASK_EVERY_S, Advice, Answer, Event, Live, LiveOptions, Request, RunEnd};
use estimate::Character;
use still::plan::RunPlan;

use super::answers::{Answers, Source};
use super::points::{POINT_EVERY_S, Points, point};
use super::row::{Entry, Row};
use crate::wire::run::ColumnsWire;

/// A question of the engine: whether it is still open shows when its answer comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ticket {
    /// How often the past had been built anew.
    built: u64,
    /// When it was asked.
    second: u64,
}

/// What makes an event the same as one said before.
type Mark = (i64, String);

/// The engine of one run with its rows.
#[derive(Debug)]
pub(crate) struct EngineRows {
    fresh: Live,
    live: Live,
    rows: Vec<Row>,
    ticked: Option<u64>,
    said: HashSet<Mark>,
    points: Points,
    answers: Answers<Answer>,
    /// The question the engine goes on without an answer to, until its answer takes effect.
    open: Option<Ticket>,
    /// That question, where nobody has taken it on.
    question: Option<Request>,
    built: u64,
    /// Where the past that is being played ends, s: what is asked long before is let go by.
    past_end: u64,
}

/// To the millisecond, as files hold times.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
fn mark(time_s: f64, code: &str) -> Mark {
    ((time_s * 1000.0).round() as i64, code.to_owned())
}

impl EngineRows {
    /// An engine at run time 0, with what is believed of the still from earlier runs.
    ///
    /// # Errors
    /// [`AdviseError`] for a plan that breaks a rule.
    pub(crate) fn new(plan: &RunPlan, character: Option<Character>) -> Result<Self, AdviseError> {
        let options = LiveOptions { character, ..LiveOptions::default() };
        let fresh = Live::new(plan.clone(), options)?;
        let live = fresh.clone();
        Ok(Self {
            fresh,
            live,
            rows: Vec::new(),
            ticked: None,
            said: HashSet::new(),
            points: Points::default(),
            answers: Answers::default(),
            open: None,
            question: None,
            built: 0,
            past_end: 0,
        })
    }

    /// Takes note of what was said before this engine was built; returns whether it is new.
    pub(crate) fn remember(&mut self, time_s: f64, code: &str) -> bool {
        self.said.insert(mark(time_s, code))
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

    /// Takes rows and returns what is new to say; the past is built anew once at most.
    pub(crate) fn put_all(&mut self, rows: Vec<Row>) -> Vec<Event> {
        let mut said = Vec::new();
        let mut late = false;
        for row in rows {
            late |= self.is_late(&row);
            if late {
                self.answers.rows_changed(row.time_s());
                let at = self.rows.partition_point(|other| row.order(other).is_ge());
                self.rows.insert(at, row);
            } else {
                said.extend(row.feed(&mut self.live));
                self.rows.push(row);
            }
        }
        let mut new = self.only_new(said);
        if late {
            new.extend(self.rebuild());
        }
        new
    }

    fn is_late(&self, row: &Row) -> bool {
        self.ticked.is_some_and(|second| row.time_s() <= second as f64)
            || self.rows.last().is_some_and(|last| row.order(last).is_lt())
    }

    /// Leaves the row of that entry out and returns what is new to say.
    pub(crate) fn withdraw(&mut self, entry: Entry) -> Vec<Event> {
        let (gone, kept) =
            std::mem::take(&mut self.rows).into_iter().partition(|row| row.entry() == Some(entry));
        self.rows = kept;
        let gone: Vec<Row> = gone;
        for row in &gone {
            self.answers.rows_changed(row.time_s());
        }
        if gone.is_empty() { Vec::new() } else { self.rebuild() }
    }

    /// Ends a second, all of whose rows are in.
    pub(crate) fn tick(&mut self, second: u64) -> Vec<Event> {
        let said = self.live.tick(second);
        self.after_tick(second, self.past_end);
        self.only_new(said)
    }

    /// The record ends here.
    pub(crate) fn close(&mut self) -> Vec<Event> {
        let said = self.live.close();
        self.only_new(said)
    }

    /// Everything that is known now.
    pub(crate) fn advice(&self) -> Advice {
        self.live.advice()
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

    /// A question that is to be worked out elsewhere.
    pub(crate) fn take_question(&mut self) -> Option<(Ticket, Request)> {
        Some((self.open?, self.question.take()?))
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
    /// rows so far: it is taken only where it is worked out.
    fn listen(&mut self, second: u64, last: u64) {
        if !second.is_multiple_of(ASK_EVERY_S) {
            return;
        }
        (self.open, self.question) = (None, None);
        match self.answers.source(second, last) {
            Source::Known(answer) => self.live.answer(answer),
            Source::Passed => self.live.pass(),
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

    fn after_tick(&mut self, second: u64, last: u64) {
        self.ticked = Some(second);
        self.listen(second, last.max(second));
        if second.is_multiple_of(POINT_EVERY_S) {
            self.points.push(point(&self.live.advice()));
        }
    }

    /// Plays all rows to a fresh engine, as a replay does, up to the last ended second.
    fn rebuild(&mut self) -> Vec<Event> {
        self.live = self.fresh.clone();
        self.points = Points::default();
        self.built += 1;
        (self.open, self.question) = (None, None);
        let last = self.ticked.unwrap_or(0);
        let rows = std::mem::take(&mut self.rows);
        let mut said = Vec::new();
        let mut next = 0;
        for second in self.ticked.map_or(0..0, |last| 0..last + 1) {
            while let Some(row) = rows.get(next).filter(|row| row.time_s() <= second as f64) {
                said.extend(row.feed(&mut self.live));
                next += 1;
            }
            said.extend(self.live.tick(second));
            self.after_tick(second, last);
        }
        for row in &rows[next..] {
            said.extend(row.feed(&mut self.live));
        }
        self.rows = rows;
        self.only_new(said)
    }

    /// What of `said` was not said before; from now on it was.
    fn only_new(&mut self, said: Vec<Event>) -> Vec<Event> {
        let known = &mut self.said;
        said.into_iter().filter(|event| known.insert(mark(event.time_s, event.code))).collect()
    }
}

#[cfg(test)]
mod tests;
