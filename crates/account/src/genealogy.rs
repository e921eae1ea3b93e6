//! Where the alcohol of a lot went, and where it came from: both ways, with how much of it.
//!
//! What stands in one place of one lot is taken as mixed: what is taken out has the parts of what
//! was there. A lot that was emptied and filled again holds nothing of before.

use crate::amount::PureAlcohol;
use crate::entry::Serial;
use crate::holding::{Event, Position};
use crate::ledger::{Kept, Ledger};
use crate::name::Name;
use crate::place::Place;

/// One place and lot that holds, or held, some of what was asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// The place.
    pub place: Place,
    /// The lot; none where it came from or is gone to.
    pub lot: Option<Name>,
    /// How much of it came there in all, or came from there.
    pub alcohol: PureAlcohol,
    /// How much of it stands there now.
    pub now: PureAlcohol,
}

/// What a recall finds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Recall {
    /// Places and lots, in the order in which it came to them.
    pub traces: Vec<Trace>,
    /// The entries that moved it, in the order of the acts.
    pub entries: Vec<Serial>,
}

/// Amounts by the number of a holding; few of many are touched.
struct Amounts {
    there: Vec<f64>,
    ever: Vec<f64>,
    order: Vec<u32>,
}

impl Amounts {
    fn new(holdings: usize) -> Self {
        Self { there: vec![0.0; holdings], ever: vec![0.0; holdings], order: Vec::new() }
    }

    /// Adds some; says whether none was there before.
    fn add(&mut self, holding: u32, nanolitres: f64) -> bool {
        let at = holding as usize;
        if nanolitres <= 0.0 {
            return false;
        }
        let first = self.there[at] == 0.0;
        if self.ever[at] == 0.0 {
            self.order.push(holding);
        }
        self.ever[at] += nanolitres;
        self.there[at] += nanolitres;
        first
    }

    fn recall(self, ledger: &Ledger, entries: Vec<Serial>, own: &[u32]) -> Recall {
        #[expect(clippy::cast_possible_truncation, reason = "never more than was entered")]
        let amount = |nanolitres: f64| PureAlcohol::of_nanolitres(nanolitres.round() as i64);
        let traces = self.order.iter().filter(|number| !own.contains(number)).map(|number| {
            let at = *number as usize;
            let holding = &ledger.holdings[at];
            Trace {
                place: holding.place.clone(),
                lot: holding.lot.clone(),
                alcohol: amount(self.ever[at]),
                now: amount(self.there[at]),
            }
        });
        Recall { traces: traces.collect(), entries }
    }
}

/// The entries that are still to be looked at, by their serials.
struct Open(Vec<bool>);

impl Open {
    fn new(entries: Serial) -> Self {
        Self(vec![false; usize::try_from(entries).unwrap_or_default() + 1])
    }

    fn extend(&mut self, positions: impl IntoIterator<Item = Position>) {
        for (_, number) in positions {
            if let Some(open) = usize::try_from(number).ok().and_then(|at| self.0.get_mut(at)) {
                *open = true;
            }
        }
    }

    fn holds(&self, number: Serial) -> bool {
        usize::try_from(number).ok().and_then(|at| self.0.get(at)).is_some_and(|open| *open)
    }
}

impl Ledger {
    /// Where the alcohol of a lot went: every lot, sample, removal and loss that had some of it.
    #[must_use]
    pub fn went_to(&self, lot: &Name) -> Recall {
        let own: &[u32] = &self.numbers_of(lot).collect::<Vec<_>>();
        let mut amounts = Amounts::new(self.holdings.len());
        let mut open = Open::new(self.length());
        for number in own {
            open.extend(self.holdings[*number as usize].events.iter().map(|event| event.at));
        }
        let mut entries = Vec::new();
        for number in &self.order {
            let Some(kept) = self.kept(*number).filter(|_| open.holds(*number)) else { continue };
            let at = (kept.act_ms, *number);
            let carried = self.take_out(kept, at, &mut amounts, &mut open);
            let total: i64 = kept.to().iter().map(|leg| leg.nanolitres).sum();
            let mut moved = false;
            for leg in kept.to() {
                let share = if own.contains(&leg.holding) {
                    leg.nanolitres as f64
                } else if total > 0 {
                    carried * leg.nanolitres as f64 / total as f64
                } else {
                    0.0
                };
                moved |= share > 0.0;
                if amounts.add(leg.holding, share) {
                    open.extend(self.next_out(leg.holding, at));
                }
            }
            if moved {
                entries.push(at.1);
            }
        }
        amounts.recall(self, entries, own)
    }

    /// Takes what is followed out of the places an entry takes from; gives how much that is.
    fn take_out(&self, kept: &Kept, at: Position, amounts: &mut Amounts, open: &mut Open) -> f64 {
        let mut carried = 0.0;
        let mut seen: Vec<u32> = Vec::new();
        for leg in kept.from() {
            let there = amounts.there[leg.holding as usize];
            if there <= 0.0 || seen.contains(&leg.holding) {
                continue;
            }
            seen.push(leg.holding);
            let Some(event) = self.event(leg.holding, at) else { continue };
            let before = event.before();
            if before <= 0 {
                continue;
            }
            carried += there * event.out as f64 / before as f64;
            amounts.there[leg.holding as usize] =
                there * (before - event.out) as f64 / before as f64;
            if event.out < before {
                open.extend(self.next_out(leg.holding, at));
            }
        }
        carried
    }

    /// What a lot is made of: every lot and source that any of it came from.
    #[must_use]
    pub fn made_of(&self, lot: &Name) -> Recall {
        let own: &[u32] = &self.numbers_of(lot).collect::<Vec<_>>();
        let mut amounts = Amounts::new(self.holdings.len());
        let mut open = Open::new(self.length());
        for number in own {
            let came = self.holdings[*number as usize].events.iter().filter(|event| event.into > 0);
            open.extend(came.map(|event| event.at));
        }
        let mut entries = Vec::new();
        for number in self.order.iter().rev() {
            let Some(kept) = self.kept(*number).filter(|_| open.holds(*number)) else { continue };
            let at = (kept.act_ms, *number);
            let sought = self.give_back(kept, at, own, &mut amounts, &mut open);
            let total: i64 = kept.from().iter().map(|leg| leg.nanolitres).sum();
            if sought <= 0.0 || total <= 0 {
                continue;
            }
            entries.push(at.1);
            for leg in kept.from().iter().filter(|leg| !own.contains(&leg.holding)) {
                let share = sought * leg.nanolitres as f64 / total as f64;
                if amounts.add(leg.holding, share) {
                    open.extend(self.last_into(leg.holding, at));
                }
            }
        }
        entries.reverse();
        // Traced back to its end: nothing is left anywhere.
        amounts.there.fill(0.0);
        amounts.recall(self, entries, own)
    }

    /// Gives back what is sought of the places an entry brought to; gives how much that is.
    fn give_back(
        &self,
        kept: &Kept,
        at: Position,
        own: &[u32],
        amounts: &mut Amounts,
        open: &mut Open,
    ) -> f64 {
        let mut sought = 0.0;
        let mut seen: Vec<u32> = Vec::new();
        for leg in kept.to() {
            if own.contains(&leg.holding) {
                sought += leg.nanolitres as f64;
                continue;
            }
            let there = amounts.there[leg.holding as usize];
            if there <= 0.0 || seen.contains(&leg.holding) {
                continue;
            }
            seen.push(leg.holding);
            let Some(event) = self.event(leg.holding, at) else { continue };
            if event.after <= 0 {
                continue;
            }
            sought += there * event.into as f64 / event.after as f64;
            let rest = (event.after - event.into) as f64 / event.after as f64;
            amounts.there[leg.holding as usize] = there * rest;
            if rest > 0.0 {
                open.extend(self.last_into(leg.holding, at));
            }
        }
        sought
    }

    fn event(&self, holding: u32, at: Position) -> Option<&Event> {
        let events = &self.holdings[holding as usize].events;
        events.binary_search_by_key(&at, |event| event.at).ok().map(|found| &events[found])
    }

    /// The next moment anything goes out of a holding.
    fn next_out(&self, holding: u32, after: Position) -> Option<Position> {
        let held = &self.holdings[holding as usize];
        let events = held.is_stock().then_some(&held.events)?;
        let later = &events[events.partition_point(|event| event.at <= after)..];
        later.iter().find(|event| event.out > 0).map(|event| event.at)
    }

    /// The last moment anything came into a holding.
    fn last_into(&self, holding: u32, before: Position) -> Option<Position> {
        let held = &self.holdings[holding as usize];
        let events = held.is_stock().then_some(&held.events)?;
        let earlier = &events[..events.partition_point(|event| event.at < before)];
        earlier.iter().rev().find(|event| event.into > 0).map(|event| event.at)
    }
}
