//! The upkeep of each still as the log of the house has it: what is due, and what is past its date.
//!
//! One rule says when something is due: the earlier of so many days and so many real runs since it
//! was last done well. An instrument's own calibration counts for the upkeep of its name.

use still::before_heat::Item;

use super::entry::Entry;
use super::instrument::past_due;
use super::lesson::check_name;
use super::open::Store;
use super::project::RunSummary;
use super::run_id::EntryNumber;
use super::tended::{Tended, Upkeep, UpkeepDone, UpkeepDropped, UpkeepKind};
use crate::error::StoreError;
use crate::rows::shown;

/// Milliseconds of a day.
const DAY_MS: i64 = 86_400_000;
/// A clock beside this one may be ahead by so much, ms (judgement).
const AHEAD_MAX_MS: i64 = 5 * 60_000;
/// Most duties of one still; judgement: a list nobody reads through is none.
const DUTIES_MAX: usize = 100;

/// Something that is kept up, and how it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownUpkeep {
    /// What.
    pub upkeep: Upkeep,
    /// When it was stated, milliseconds of UTC.
    pub stated_ms: i64,
    /// Every time it was done, the entry and when it was written, the oldest first.
    pub done: Vec<(EntryNumber, i64, UpkeepDone)>,
    /// When it was last done well; by its own log or the instrument's calibration.
    pub last_ms: Option<i64>,
    /// Real runs of the still that ended since.
    pub runs_since: u32,
    /// When it is due by what is known now, milliseconds of UTC; none while only runs count.
    pub due_ms: Option<i64>,
}

impl KnownUpkeep {
    /// Whether it should have been done by then.
    #[must_use]
    pub fn overdue(&self, now_ms: i64) -> bool {
        past_due(self.due_ms, now_ms)
    }

    /// How it stands, in words.
    #[must_use]
    pub fn words(&self, now_ms: i64) -> String {
        let days = |from: i64, to: i64| (to - from).div_euclid(DAY_MS);
        let last = self.last_ms.map_or_else(
            || "never done".to_owned(),
            |last| match days(last, now_ms) {
                ..=0 => "done today".to_owned(),
                1 => "done yesterday".to_owned(),
                more => format!("done {more} days ago"),
            },
        );
        let runs = match (self.upkeep.every_runs, self.runs_since) {
            (Some(every), since) => format!(", {since} of {every} runs since"),
            (None, _) => String::new(),
        };
        let due = match self.due_ms {
            Some(due) if past_due(Some(due), now_ms) => match days(due, now_ms) {
                0 => "; due now".to_owned(),
                1 => "; overdue for a day".to_owned(),
                more => format!("; overdue for {more} days"),
            },
            Some(due) => format!("; due in {} days", days(now_ms, due).max(1)),
            None => String::new(),
        };
        format!("{last}{runs}{due}")
    }
}

impl Store {
    /// What is kept up at a still, by name.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a name that is none, [`StoreError::Unreadable`] for a damaged or
    /// newer entry.
    pub fn upkeep(&self, still: &str) -> Result<Vec<KnownUpkeep>, StoreError> {
        check_name(still)?;
        let mut known: Vec<KnownUpkeep> = Vec::new();
        self.for_each_of_house(&Tended::KINDS[..3], |logged| {
            let Entry::Tended(tended) = logged.entry else { return Ok(()) };
            match *tended {
                Tended::Upkeep(upkeep) if upkeep.still == still => {
                    let of = |one: &KnownUpkeep| one.upkeep.name == upkeep.name;
                    let before = known.iter().position(of).map(|place| known.remove(place));
                    let stated_ms = before.as_ref().map_or(logged.stored_ms, |one| one.stated_ms);
                    let done = before.map_or_else(Vec::new, |one| one.done);
                    let (last_ms, runs_since, due_ms) = (None, 0, None);
                    let one = KnownUpkeep { upkeep, stated_ms, done, last_ms, runs_since, due_ms };
                    known.push(one);
                }
                Tended::Done(done) if done.still == still => {
                    if let Some(one) = known.iter_mut().find(|one| one.upkeep.name == done.name) {
                        one.done.push((logged.number, logged.stored_ms, done));
                    }
                }
                Tended::Dropped(gone) if gone.still == still => {
                    known.retain(|one| one.upkeep.name != gone.name);
                }
                _ => {}
            }
            Ok(())
        })?;
        if known.is_empty() {
            return Ok(known);
        }
        let instruments = self.instruments(still)?;
        let runs: Vec<i64> = self.runs(false)?.iter().filter_map(|run| over(run, still)).collect();
        for one in &mut known {
            let own = instruments.iter().filter(|it| it.instrument.name == one.upkeep.name);
            let by_instrument = own.flat_map(|it| it.history.iter().map(|last| last.2.at_ms)).max();
            one.settle(by_instrument, &runs);
        }
        known.sort_by(|a, b| a.upkeep.name.cmp(&b.upkeep.name));
        Ok(known)
    }

    /// States something to be kept up, in place of what has its name.
    ///
    /// # Errors
    /// [`StoreError::Entry`] naming what cannot be, or one too many; else as [`Store::append`].
    pub fn state_upkeep(&self, one: Upkeep, now_ms: i64) -> Result<(), StoreError> {
        let known = self.upkeep(&one.still)?;
        if known.len() >= DUTIES_MAX && known.iter().all(|it| it.upkeep.name != one.name) {
            let value = format!("{} duties", known.len() + 1);
            return Err(StoreError::Entry { field: "name", value, bound: "must be 100 at most" });
        }
        self.tend(Tended::Upkeep(one), now_ms).map(drop)
    }

    /// Keeps that it was done.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where nothing of that name is kept up, or for a moment that has not
    /// come; else as [`Store::append`].
    pub fn did_upkeep(&self, done: UpkeepDone, now_ms: i64) -> Result<EntryNumber, StoreError> {
        self.must_have_upkeep(&done.still, &done.name)?;
        if done.at_ms > now_ms.saturating_add(AHEAD_MAX_MS) {
            let bound = "must not be ahead of now";
            return Err(StoreError::Entry { field: "at", value: "ahead".into(), bound });
        }
        self.tend(Tended::Done(done), now_ms)
    }

    /// It is kept up no more; what stands in the log stays there.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where nothing of that name is; else as [`Store::append`].
    pub fn drop_upkeep(&self, still: &str, name: &str, now_ms: i64) -> Result<(), StoreError> {
        self.must_have_upkeep(still, name)?;
        let gone = UpkeepDropped { still: still.to_owned(), name: name.to_owned() };
        self.tend(Tended::Dropped(gone), now_ms).map(drop)
    }

    /// What of a still is past its date, as lines of the list before heat: upkeep, and instruments
    /// whose calibration has ended.
    ///
    /// # Errors
    /// As [`Store::upkeep`].
    pub fn overdue_before_heat(&self, still: &str, now_ms: i64) -> Result<Vec<Item>, StoreError> {
        let known = self.upkeep(still)?;
        let duties = known
            .iter()
            .filter(|one| one.overdue(now_ms))
            .map(|one| Item::overdue(one.upkeep.kind.word(), &one.upkeep.name, one.words(now_ms)));
        let named = |name: &str| known.iter().any(|one| one.upkeep.name == name);
        let calibration = UpkeepKind::Calibration.word();
        let instruments = self.instruments(still)?;
        let instruments = instruments
            .iter()
            .filter(|one| one.overdue(now_ms) && !named(&one.instrument.name))
            .map(|one| {
                let figure = "its calibration has ended".to_owned();
                Item::overdue(calibration, &one.instrument.name, figure)
            });
        Ok(duties.chain(instruments).collect())
    }

    fn must_have_upkeep(&self, still: &str, name: &str) -> Result<(), StoreError> {
        if self.upkeep(still)?.iter().any(|one| one.upkeep.name == name) {
            return Ok(());
        }
        let bound = "must be something that is kept up at this still";
        Err(StoreError::Entry { field: "name", value: shown(name), bound })
    }

    pub(super) fn tend(&self, one: Tended, now_ms: i64) -> Result<EntryNumber, StoreError> {
        self.say_in_house(Entry::Tended(Box::new(one)), now_ms)
    }
}

/// When a real run of the still was over.
fn over(run: &RunSummary, still: &str) -> Option<i64> {
    (run.rehearsed() == Some(false) && run.still == still).then_some(run.ended_ms).flatten()
}

impl KnownUpkeep {
    /// Reckons how it stands: `runs` are the moments at which runs were over.
    fn settle(&mut self, by_instrument: Option<i64>, runs: &[i64]) {
        let own = self.done.iter().map(|done| &done.2);
        let good = own.filter(|done| done.good).map(|done| done.at_ms);
        self.last_ms = good.chain(by_instrument).max();
        let since = self.last_ms.unwrap_or(self.stated_ms);
        let mut runs: Vec<i64> = runs.iter().copied().filter(|run| *run > since).collect();
        runs.sort_unstable();
        self.runs_since = u32::try_from(runs.len()).unwrap_or(u32::MAX);
        let by_days = self.upkeep.every_days.map(|days| since + i64::from(days) * DAY_MS);
        let every = self.upkeep.every_runs.and_then(|every| usize::try_from(every).ok());
        let by_runs = every.and_then(|every| runs.get(every.checked_sub(1)?).copied());
        // What was found not to be as it should be is due since then.
        let last = self.done.iter().max_by_key(|done| (done.2.at_ms, done.0));
        let bad =
            last.filter(|last| !last.2.good && last.2.at_ms >= since).map(|last| last.2.at_ms);
        self.due_ms = [by_days, by_runs, bad].into_iter().flatten().min();
    }
}

#[cfg(test)]
mod tests {
    use super::{DAY_MS, KnownUpkeep};
    use crate::record::tended::{Upkeep, UpkeepDone, UpkeepKind};

    fn known(every_days: Option<u32>, every_runs: Option<u32>) -> KnownUpkeep {
        let (still, name) = ("Shed column".to_owned(), "column".to_owned());
        let kind = UpkeepKind::Cleaning;
        KnownUpkeep {
            upkeep: Upkeep { still, name, kind, every_days, every_runs },
            stated_ms: 0,
            done: Vec::new(),
            last_ms: None,
            runs_since: 0,
            due_ms: None,
        }
    }

    fn done(at_ms: i64, good: bool) -> (i64, i64, UpkeepDone) {
        let (still, name) = ("Shed column".to_owned(), "column".to_owned());
        let (with, found, by) = (String::new(), String::new(), None);
        (1, at_ms, UpkeepDone { still, name, at_ms, good, with, found, by })
    }

    #[test]
    fn the_earlier_of_days_and_runs_is_due() {
        let mut one = known(Some(30), Some(3));
        one.settle(None, &[DAY_MS, 2 * DAY_MS]);
        assert_eq!((one.runs_since, one.due_ms), (2, Some(30 * DAY_MS)));
        one.settle(None, &[DAY_MS, 3 * DAY_MS, 2 * DAY_MS]);
        assert_eq!(one.due_ms, Some(3 * DAY_MS));
        assert!(one.overdue(3 * DAY_MS) && !one.overdue(3 * DAY_MS - 1));
        one.done.push(done(4 * DAY_MS, true));
        one.settle(None, &[DAY_MS, 3 * DAY_MS, 2 * DAY_MS]);
        assert_eq!((one.runs_since, one.due_ms), (0, Some(34 * DAY_MS)));
    }

    #[test]
    fn what_was_found_bad_stays_due_until_it_is_done_well() {
        let mut one = known(Some(30), None);
        one.done = vec![done(DAY_MS, true), done(2 * DAY_MS, false)];
        one.settle(None, &[]);
        assert_eq!((one.last_ms, one.due_ms), (Some(DAY_MS), Some(2 * DAY_MS)));
        // The instrument's own calibration counts, too.
        one.settle(Some(3 * DAY_MS), &[]);
        assert_eq!(one.due_ms, Some(33 * DAY_MS));
        assert_eq!(one.words(4 * DAY_MS), "done yesterday; due in 29 days");
        assert_eq!(one.words(40 * DAY_MS), "done 37 days ago; overdue for 7 days");
    }
}
