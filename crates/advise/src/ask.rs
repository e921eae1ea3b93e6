//! The estimate behind the forecast: asked for at a whole minute, in effect at the next.
//!
//! Whoever drives the engine may take the question, compute it elsewhere and give the answer back
//! before the minute is over; else the engine computes it itself when the answer is due. Either way
//! the answer takes effect at the same second of run time, so that a replay says the same.

use estimate::Outlook;
use still::plan::StepKind;

use crate::asking::{ASK_EVERY_S, Answer, Open, Request};
use crate::engine::Live;

/// An estimate older than this is not acted on, s.
const FRESH_S: f64 = 200.0;
/// Why an estimate moved when nothing else happened.
const RENEWED: &str = "the measurements since the last estimate say so";

impl Live {
    /// The open question, once; none when there is none or it was taken.
    pub fn request(&mut self) -> Option<Request> {
        let open =
            self.foresight.asking.open.as_mut().filter(|open| !open.taken && !open.passed)?;
        open.taken = true;
        let second = open.second;
        Some(self.question(second))
    }

    /// Gives the answer to the open question back; any other is left alone.
    pub fn answer(&mut self, answer: Answer) {
        if let Some(open) =
            self.foresight.asking.open.as_mut().filter(|open| open.second == answer.second)
        {
            open.answer = Some(answer);
        }
    }

    /// Lets the open question go by: the outlook stays as it is.
    pub fn pass(&mut self) {
        if let Some(open) = self.foresight.asking.open.as_mut() {
            open.passed = true;
        }
    }

    fn question(&self, second: u64) -> Request {
        Request {
            plan: self.plan.clone(),
            rows: self.foresight.asking.rows.clone(),
            character: self.foresight.character.clone(),
            warm: self.foresight.asking.warm.clone(),
            second,
        }
    }

    /// Takes the answer into effect when its time has come.
    pub(super) fn hear(&mut self, second: u64) {
        let due = |open: &mut Open| second >= open.second + ASK_EVERY_S;
        let Some(open) = self.foresight.asking.open.take_if(due) else { return };
        if open.passed {
            return;
        }
        let answer = open.answer.unwrap_or_else(|| self.question(open.second).compute());
        if let Some((outlook, warm)) = answer.outcome {
            let first = self.fresh_outlook().is_none();
            let words = if first { "an estimate from the measurements is there" } else { RENEWED };
            self.foresight.reasons.note(self.now_s, words);
            for news in self.foresight.doubted.take(self.now_s, &outlook) {
                self.foresight.reasons.note(self.now_s, news);
            }
            self.foresight.asking.outlook = Some(outlook);
            self.foresight.asking.warm = Some(warm);
        }
    }

    /// Asks at every whole minute from the first vapour to the stop.
    pub(super) fn ask(&mut self, second: u64) {
        let runs = self.course.vapour_s().is_some() && !self.course.is_over();
        let runs = runs && !matches!(self.course.steps.kind(), StepKind::Heat | StepKind::Stop);
        if self.foresight.estimates && runs && second.is_multiple_of(ASK_EVERY_S) {
            self.foresight.asking.open =
                Some(Open { second, taken: false, answer: None, passed: false });
        }
    }

    /// The latest estimate, unless it is too old to act on.
    pub(super) fn fresh_outlook(&self) -> Option<&Outlook> {
        self.outlook().filter(|outlook| self.now_s - outlook.made_at_s <= FRESH_S)
    }

    /// The latest estimate; it says itself from when it is.
    #[must_use]
    pub fn outlook(&self) -> Option<&Outlook> {
        self.foresight.asking.outlook.as_ref()
    }
}
