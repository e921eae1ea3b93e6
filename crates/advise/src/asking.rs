//! A question for an estimate, its answer, and what is known of both.

use estimate::{Character, Outlook, Settings, Warm, renew};
use sense::RecordedRun;
use still::plan::RunPlan;

/// Run time from a question to the next, and to its answer, s.
pub const ASK_EVERY_S: u64 = 60;
/// Run time from one fit from the start to the next, s.
const ANEW_EVERY_S: u64 = 3600;
/// Readings closer together than this tell an estimate nothing more, s.
const READING_SPACING_S: f64 = 4.0;

/// A question: everything an estimate needs, to be computed anywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    pub(crate) plan: RunPlan,
    pub(crate) rows: RecordedRun,
    pub(crate) character: Option<Character>,
    pub(crate) warm: Option<Warm>,
    pub(crate) second: u64,
}

/// What came of a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    pub(crate) second: u64,
    pub(crate) outcome: Option<(Outlook, Warm)>,
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
pub(crate) struct Asking {
    /// Rows so far.
    pub(crate) rows: RecordedRun,
    pub(crate) last_reading_s: Option<f64>,
    pub(crate) outlook: Option<Outlook>,
    pub(crate) warm: Option<Warm>,
    pub(crate) open: Option<Open>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Open {
    pub(crate) second: u64,
    pub(crate) taken: bool,
    pub(crate) answer: Option<Answer>,
    pub(crate) passed: bool,
}

impl Asking {
    /// Whether a row of readings at that time is kept.
    pub(crate) fn keeps(&mut self, time_s: f64) -> bool {
        let near = |last: f64| (time_s - last).abs() < READING_SPACING_S;
        if self.last_reading_s.is_some_and(near) {
            return false;
        }
        self.last_reading_s = Some(time_s);
        true
    }
}
