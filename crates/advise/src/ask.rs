//! The estimate behind the forecast: asked for at a whole minute, in effect at the next.
//!
//! Whoever drives the engine may take the question, compute it elsewhere and give the answer back
//! before the minute is over; else the engine computes it itself when the answer is due. Either way
//! the answer takes effect at the same second of run time, so that a replay says the same.

use still::plan::{RunPlan, StepKind};

use super::engine::Live;
use estimate::{Character, Outlook, Settings, Warm, renew};
use sense::RecordedRun;

/// Run time from a question to the next, and to its answer, s.
pub const ASK_EVERY_S: u64 = 60;
/// Run time from one fit from the start to the next, s.
const ANEW_EVERY_S: u64 = 3600;
/// An estimate older than this is not acted on, s.
const FRESH_S: f64 = 200.0;
/// Why an estimate moved when nothing else happened.
const RENEWED: &str = "the measurements since the last estimate say so";
/// Readings closer together than this tell an estimate nothing more, s.
const READING_SPACING_S: f64 = 4.0;

/// A question: everything an estimate needs, to be computed anywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    plan: RunPlan,
    rows: RecordedRun,
    character: Option<Character>,
    warm: Option<Warm>,
    second: u64,
}

/// What came of a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    second: u64,
    outcome: Option<(Outlook, Warm)>,
}

impl Request {
    /// Run second at which it was asked.
    #[must_use]
    pub const fn second(&self) -> u64 {
        self.second
    }

    /// Run second at which its answer takes effect.
    #[must_use]
    pub const fn due_second(&self) -> u64 {
        self.second + ASK_EVERY_S
    }

    /// Computes it: some tens of milliseconds; up to a second for the first and once in an
    /// hour, when the whole run is fitted anew.
    #[must_use]
    pub fn compute(&self) -> Answer {
        let at_s = self.second as f64;
        let character = self.character.as_ref();
        let settings = Settings::default();
        let cancel = still::Cancel::never();
        let go =
            |warm| renew(&self.plan, &self.rows, at_s, character, settings, warm, &cancel).ok();
        // Now and then from the start: small steps may have ended in a hollow that is not the
        // deepest. A step that fails from where the last one ended may still work from there too.
        let anew = self.second.is_multiple_of(ANEW_EVERY_S);
        let warm = self.warm.as_ref().filter(|_| !anew);
        let outcome = go(warm).or_else(|| warm.and_then(|_| go(None)));
        Answer { second: self.second, outcome }
    }
}

impl Answer {
    /// Run second of its question.
    #[must_use]
    pub const fn second(&self) -> u64 {
        self.second
    }

    /// What came of it, where something did.
    #[must_use]
    pub fn outlook(&self) -> Option<&Outlook> {
        self.outcome.as_ref().map(|(outlook, _)| outlook)
    }
}

/// What is known of the estimate now.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Asking {
    /// Rows so far.
    pub(super) rows: RecordedRun,
    last_reading_s: Option<f64>,
    pub(super) outlook: Option<Outlook>,
    warm: Option<Warm>,
    open: Option<Open>,
}

#[derive(Debug, Clone, PartialEq)]
struct Open {
    second: u64,
    taken: bool,
    answer: Option<Answer>,
    passed: bool,
}

impl Asking {
    /// Whether a row of readings at that time is kept.
    pub(super) fn keeps(&mut self, time_s: f64) -> bool {
        let near = |last: f64| (time_s - last).abs() < READING_SPACING_S;
        if self.last_reading_s.is_some_and(near) {
            return false;
        }
        self.last_reading_s = Some(time_s);
        true
    }
}

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
        let runs = self.course.vapour_s().is_some() && self.course.end.is_none();
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
