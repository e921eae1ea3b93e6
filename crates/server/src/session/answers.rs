//! Where the answers to an engine's questions come from when its past is gone through again.
//!
//! An engine asks once a minute for something that takes up to a quarter of a second. When rows come
//! late, or a run is opened again, hundreds of such questions come at once: what was answered is
//! kept, and only the newest are answered anew.

use std::collections::BTreeMap;

use advise::ASK_EVERY_S;

/// How many of the newest answers are worked out anew where the rows before them are others.
const ANEW_MAX: u64 = 2;
/// Most answers kept: more than a day of them.
const ANSWERS_MAX: usize = 1500;

/// Where the answer to a question comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Source<A> {
    /// It was answered before.
    Known(A),
    /// It is worked out on the spot.
    Anew,
    /// It has time until run time goes on.
    Later,
    /// It is let go by: it is long past.
    Passed,
}

#[derive(Debug, Clone)]
struct Kept<A> {
    answer: A,
    /// Whether it rests on the rows as they are now.
    current: bool,
}

/// What was answered, by the second of the question.
#[derive(Debug, Clone)]
pub(crate) struct Answers<A>(BTreeMap<u64, Kept<A>>);

impl<A> Default for Answers<A> {
    fn default() -> Self {
        Self(BTreeMap::new())
    }
}

impl<A: Clone> Answers<A> {
    /// Keeps an answer; the oldest make room.
    pub(crate) fn keep(&mut self, second: u64, answer: A) {
        self.0.insert(second, Kept { answer, current: true });
        while self.0.len() > ANSWERS_MAX {
            self.0.pop_first();
        }
    }

    /// A row of that time came late or was withdrawn: what was answered since rests on others.
    pub(crate) fn rows_changed(&mut self, from_s: f64) {
        for (_, kept) in self.0.iter_mut().rev().take_while(|(second, _)| **second as f64 >= from_s)
        {
            kept.current = false;
        }
    }

    /// How many rest on the rows as they are now.
    #[cfg(test)]
    pub(crate) fn current_count(&self) -> usize {
        self.0.values().filter(|kept| kept.current).count()
    }

    /// What was answered to the question of `second`, on whichever rows.
    pub(crate) fn kept(&self, second: u64) -> Option<A> {
        self.0.get(&second).map(|kept| kept.answer.clone())
    }

    /// Where the answer to the question of `second` comes from in a past that ends at `last`.
    pub(crate) fn source(&self, second: u64, last: u64) -> Source<A> {
        let kept = self.0.get(&second);
        if let Some(kept) = kept.filter(|kept| kept.current) {
            return Source::Known(kept.answer.clone());
        }
        if second + ASK_EVERY_S > last {
            return Source::Later;
        }
        if second + (ANEW_MAX + 1) * ASK_EVERY_S > last {
            return Source::Anew;
        }
        // What was known then is the best there is without working it out again.
        kept.map_or(Source::Passed, |kept| Source::Known(kept.answer.clone()))
    }
}

#[cfg(test)]
mod tests {
    use super::{ANSWERS_MAX, Answers, Source};

    fn hour() -> Answers<u64> {
        let mut answers = Answers::default();
        (0..60).for_each(|minute| answers.keep(60 * minute, minute));
        answers
    }

    #[test]
    fn what_was_answered_is_not_worked_out_again() {
        let answers = hour();
        for minute in 0..60 {
            assert_eq!(answers.source(60 * minute, 3600), Source::Known(minute));
        }
    }

    #[test]
    fn after_a_late_row_only_the_newest_are_worked_out_again() {
        let mut answers = hour();
        answers.rows_changed(1800.5);
        let sources: Vec<_> = (0..60).map(|m| answers.source(60 * m, 3599)).collect();
        assert_eq!(sources[..57], (0..57).map(Source::Known).collect::<Vec<_>>());
        assert_eq!(sources[57..], [Source::Anew, Source::Anew, Source::Later]);
        answers.keep(57 * 60, 1057);
        assert_eq!(answers.source(57 * 60, 3599), Source::Known(1057));
    }

    #[test]
    fn a_row_of_the_very_second_of_a_question_was_before_it() {
        let mut answers = hour();
        answers.rows_changed(3540.0);
        assert_eq!(answers.source(3480, 3599), Source::Known(58));
        assert_eq!(answers.source(3540, 3599), Source::Later);
    }

    #[test]
    fn a_run_opened_again_lets_its_past_go_by() {
        let answers: Answers<u64> = Answers::default();
        let sources: Vec<_> = (0..480).map(|m| answers.source(60 * m, 480 * 60 - 1)).collect();
        assert!(sources[..477].iter().all(|source| *source == Source::Passed));
        assert_eq!(sources[477..], [Source::Anew, Source::Anew, Source::Later]);
    }

    #[test]
    fn answers_are_bounded_and_the_newest_stay() {
        let mut answers = Answers::default();
        (0..5000_u64).for_each(|second| answers.keep(second, second));
        assert_eq!(answers.0.len(), ANSWERS_MAX);
        assert_eq!(answers.source(4999, 9999), Source::Known(4999));
        assert_eq!(answers.source(0, 9999), Source::Passed);
    }
}
