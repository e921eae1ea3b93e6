//! Entries that are reckoned from the book: a stock-take and the end of a period.

use crate::amount::PureAlcohol;
use crate::entry::{Entry, Leg, Serial};
use crate::error::AccountError;
use crate::holding::Position;
use crate::kind::EntryKind;
use crate::ledger::{KeptLeg, Ledger};
use crate::name::Name;
use crate::place::{Place, PlaceKind};
use crate::spent::Counted;

/// A count of one lot in one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// The place.
    pub place: Place,
    /// The lot.
    pub lot: Name,
    /// What was found.
    pub found: PureAlcohol,
    /// What a loss is put down to; without one it stays not explained.
    pub lost_to: Option<Place>,
}

impl Ledger {
    /// As [`Ledger::held`], as if an entry had never been: what its correction finds.
    pub(crate) fn held_without(
        &self,
        place: &Place,
        lot: Option<&Name>,
        before: Position,
        gone: Option<Serial>,
    ) -> PureAlcohol {
        let held = self.held(place, lot, before);
        let found = gone.and_then(|gone| Some((gone, self.kept(gone)?, self.number(place, lot)?)));
        let Some((gone, old, number)) = found else { return held };
        if (old.act_ms, gone) >= before || old.corrected_by.is_some() {
            return held;
        }
        let sum = |legs: &[KeptLeg]| {
            let own = legs.iter().filter(|leg| leg.holding == number);
            PureAlcohol::of_nanolitres(own.map(|leg| leg.nanolitres).sum())
        };
        held.plus(sum(old.from())).less(sum(old.to()))
    }

    /// The entry of a count: what is less than in the book is lost, or not explained; what is more
    /// was found. `entry` has its moment and people, and the count in whose place this one stands.
    ///
    /// # Errors
    /// [`AccountError`] where it may not join the book.
    pub fn stock_take(&self, count: &Count, mut entry: Entry) -> Result<Entry, AccountError> {
        entry.kind = EntryKind::StockTake;
        let next: Serial = self.length() + 1;
        let at = (entry.act_ms, next);
        let book = self.held_without(&count.place, Some(&count.lot), at, entry.corrects);
        entry.counted = Some(Counted { found: count.found, book });
        let stock = |alcohol| Leg::new(count.place.clone(), Some(count.lot.clone()), alcohol);
        if count.found > book {
            let more = count.found.less(book);
            entry.from = vec![Leg::new(Place::of_kind(PlaceKind::Found), None, more)];
            entry.to = vec![stock(more)];
        } else {
            let less = book.less(count.found);
            entry.from = vec![stock(less)];
            let not_explained = || Place::of_kind(PlaceKind::NotExplained);
            let lost_to = count.lost_to.clone().unwrap_or_else(not_explained);
            entry.to = vec![Leg::new(lost_to, None, less)];
        }
        self.judge(&entry)?;
        Ok(entry)
    }

    /// The entry that closes the account up to a moment: its act is that moment.
    ///
    /// # Errors
    /// [`AccountError::Closed`] where it is closed beyond that already, [`AccountError::OutOfRange`]
    /// for a moment that has not come.
    pub fn close(&self, upto_ms: i64, mut entry: Entry) -> Result<Entry, AccountError> {
        entry.kind = EntryKind::Close;
        entry.act_ms = upto_ms;
        if upto_ms > entry.entered_ms {
            return Err(AccountError::OutOfRange {
                field: "upto",
                value: upto_ms.to_string(),
                bound: "must lie before now",
                hint: "a period is closed once it is over",
            });
        }
        self.judge(&entry)?;
        Ok(entry)
    }
}
