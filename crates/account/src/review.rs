//! The checks a reviewer makes of a book: what is odd in it, each with its entry and in words.

mod acts;
mod book;

pub use book::month_end_ms;

use std::collections::{BTreeMap, BTreeSet};

use crate::entry::{Numbered, Serial};
use crate::ledger::Ledger;
use crate::profile::Profile;

/// Most findings of one check that are named; the rest are counted.
const NAMED_MAX: usize = 200;
/// Milliseconds of a day.
pub(crate) const DAY_MS: i64 = 86_400_000;

/// Which check found it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Check {
    /// Two records of one vessel at one moment.
    TwoAtOnce,
    /// Bottles times their size is not what was filled.
    BottlesAgainstTank,
    /// A spirit became stronger without distillation.
    StrongerAlone,
    /// An act lost more than is usual.
    LossAboveNorm,
    /// A gauge with an instrument past its date.
    OverdueInstrument,
    /// Entered later than it should be.
    LateEntry,
    /// A correction has changed the time of an act.
    TimeEdited,
    /// A lot came from outside and nobody says from where.
    LotWithoutParent,
    /// A jar stands without a fate.
    JarWithoutFate,
    /// Feints stand and were not carried into a charge.
    FeintsNotCarried,
    /// Something left a cask before it was filled.
    CaskOlderThanFill,
    /// Figures of one gauge do not fit each other.
    GaugeMismatch,
    /// A month was not closed before the next one went on.
    MonthNotClosed,
    /// Entered, read or checked by somebody who is not named as allowed to.
    NotAuthorised,
    /// More is not explained than may be.
    NotExplained,
}

impl Check {
    /// Every check.
    pub const ALL: [Self; 15] = [
        Self::TwoAtOnce,
        Self::BottlesAgainstTank,
        Self::StrongerAlone,
        Self::LossAboveNorm,
        Self::OverdueInstrument,
        Self::LateEntry,
        Self::TimeEdited,
        Self::LotWithoutParent,
        Self::JarWithoutFate,
        Self::FeintsNotCarried,
        Self::CaskOlderThanFill,
        Self::GaugeMismatch,
        Self::MonthNotClosed,
        Self::NotAuthorised,
        Self::NotExplained,
    ];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::TwoAtOnce => "two_at_once",
            Self::BottlesAgainstTank => "bottles_against_tank",
            Self::StrongerAlone => "stronger_alone",
            Self::LossAboveNorm => "loss_above_norm",
            Self::OverdueInstrument => "overdue_instrument",
            Self::LateEntry => "late_entry",
            Self::TimeEdited => "time_edited",
            Self::LotWithoutParent => "lot_without_parent",
            Self::JarWithoutFate => "jar_without_fate",
            Self::FeintsNotCarried => "feints_not_carried",
            Self::CaskOlderThanFill => "cask_older_than_fill",
            Self::GaugeMismatch => "gauge_mismatch",
            Self::MonthNotClosed => "month_not_closed",
            Self::NotAuthorised => "not_authorised",
            Self::NotExplained => "not_explained",
        }
    }
}

/// Something odd.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Which check.
    pub check: Check,
    /// Which entry; none where it is of the whole book.
    pub entry: Option<Serial>,
    /// What, in words.
    pub text: String,
}

/// A review as it goes through a book, entry after entry.
pub struct Review<'a> {
    profile: &'a Profile,
    ledger: &'a Ledger,
    /// People who may; everybody where none is named.
    authorised: &'a [String],
    findings: Vec<Finding>,
    counts: BTreeMap<Check, usize>,
    moments: BTreeMap<(String, i64), Serial>,
    acts: BTreeMap<Serial, i64>,
    strengths: BTreeMap<String, f64>,
    filled: BTreeSet<String>,
    months: BTreeMap<i64, (i64, i64)>,
    closes: Vec<(i64, i64)>,
}

impl<'a> Review<'a> {
    /// A review of a book by a profile.
    #[must_use]
    pub fn new(profile: &'a Profile, ledger: &'a Ledger, authorised: &'a [String]) -> Self {
        Self {
            profile,
            ledger,
            authorised,
            findings: Vec::new(),
            counts: BTreeMap::new(),
            moments: BTreeMap::new(),
            acts: BTreeMap::new(),
            strengths: BTreeMap::new(),
            filled: BTreeSet::new(),
            months: BTreeMap::new(),
            closes: Vec::new(),
        }
    }

    /// Looks at the next entry.
    pub fn take(&mut self, numbered: &Numbered) {
        self.look_at_times(numbered);
        self.look_at_people(numbered);
        if self.ledger.corrected_by(numbered.number).is_some() {
            return;
        }
        self.look_at_vessels(numbered);
        self.look_at_gauge(numbered);
        self.look_at_strengths(numbered);
        self.look_at_losses(numbered);
        self.look_at_bottles(numbered);
        self.look_at_parents(numbered);
    }

    /// What was found in all, as seen at a moment; of each check at most 200 are named.
    #[must_use]
    pub fn finish(mut self, now_ms: i64) -> Vec<Finding> {
        self.look_at_idle(now_ms);
        self.look_at_months(now_ms);
        self.look_at_unexplained();
        for (check, count) in std::mem::take(&mut self.counts) {
            if count > NAMED_MAX {
                let text = format!("and {} more of this kind", count - NAMED_MAX);
                self.findings.push(Finding { check, entry: None, text });
            }
        }
        self.findings.sort_by_key(|finding| (finding.check, finding.entry));
        self.findings
    }

    fn find(&mut self, check: Check, entry: Option<Serial>, text: String) {
        let count = self.counts.entry(check).or_default();
        *count += 1;
        if *count <= NAMED_MAX {
            self.findings.push(Finding { check, entry, text });
        }
    }
}
