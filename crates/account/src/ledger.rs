//! The book as it stands: what every place holds after each act, and whether another entry may join.
//!
//! Entries come in the order of their serials and are judged in the order of their acts: a late one
//! takes its place among the acts, and no place may hold less than nothing at it or after it. What
//! corrects another takes its place away and stands itself where its own act stands.

use std::collections::BTreeMap;

use crate::amount::PureAlcohol;
use crate::entry::{Entry, Leg, Numbered, Serial};
use crate::error::AccountError;
use crate::holding::{Event, Holding, OfLot, Position};
use crate::kind::EntryKind;
use crate::name::Name;
use crate::place::{Place, Side};
use crate::spent::Spent;

/// A leg as the ledger keeps it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct KeptLeg {
    pub(crate) holding: u32,
    pub(crate) nanolitres: i64,
    pub(crate) bottles: u32,
}

/// An entry as the ledger keeps it.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    pub(crate) kind: EntryKind,
    pub(crate) act_ms: i64,
    pub(crate) legs: Box<[KeptLeg]>,
    /// How many of the legs take out.
    pub(crate) from: u32,
    pub(crate) corrected_by: Option<Serial>,
    pub(crate) spent: Option<Box<Spent>>,
    pub(crate) not_explained_sd_l: Option<f32>,
    /// Whether an instrument it was gauged with was overdue then.
    pub(crate) overdue: bool,
}

impl Kept {
    pub(crate) fn from(&self) -> &[KeptLeg] {
        &self.legs[..self.from as usize]
    }

    pub(crate) fn to(&self) -> &[KeptLeg] {
        &self.legs[self.from as usize..]
    }
}

/// The book as it stands.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    pub(crate) holdings: Vec<Holding>,
    pub(crate) kept: Vec<Kept>,
    /// Serials in the order of the acts.
    pub(crate) order: Vec<Serial>,
    /// Holdings of each lot, and those without one, by their place.
    pub(crate) lots: BTreeMap<Name, OfLot>,
    pub(crate) without_lot: BTreeMap<Place, u32>,
    pub(crate) keys: BTreeMap<String, Serial>,
    pub(crate) closed: Option<(i64, Serial)>,
}

/// Lots with fewer events than this get room for what there is, not for more.
const FEW_EVENTS: usize = 8;

/// What an entry would change.
struct Plan {
    /// Holdings that are new with it.
    fresh: Vec<Holding>,
    tails: Vec<Tail>,
    kept: Kept,
}

/// Per holding the events from the first changed one on.
struct Tail {
    holding: u32,
    first: usize,
    events: Vec<Event>,
}

impl Ledger {
    /// How many entries it holds: the serial of the last.
    #[must_use]
    pub fn length(&self) -> Serial {
        self.kept.len() as Serial
    }

    /// Until which moment the account is closed, and by which entry.
    #[must_use]
    pub const fn closed(&self) -> Option<(i64, Serial)> {
        self.closed
    }

    /// The entry that took the place of another, if one did.
    #[must_use]
    pub fn corrected_by(&self, number: Serial) -> Option<Serial> {
        self.kept(number)?.corrected_by
    }

    /// The entry that a request of that key brought.
    #[must_use]
    pub fn of_key(&self, key: &str) -> Option<Serial> {
        self.keys.get(key).copied()
    }

    /// Everything that holds or held alcohol.
    #[must_use]
    pub fn holdings(&self) -> &[Holding] {
        &self.holdings
    }

    /// The holdings of a lot.
    pub fn of_lot(&self, lot: &Name) -> impl Iterator<Item = &Holding> {
        self.numbers_of(lot).map(|number| &self.holdings[number as usize])
    }

    /// Every lot with the numbers of its holdings, by name.
    pub fn lots(&self) -> impl Iterator<Item = (&Name, impl Iterator<Item = &Holding>)> {
        self.lots.iter().map(|(lot, numbers)| {
            (lot, numbers.numbers().map(|number| &self.holdings[number as usize]))
        })
    }

    /// What a place holds of a lot before a moment; nothing where neither is known.
    #[must_use]
    pub fn held(&self, place: &Place, lot: Option<&Name>, before: Position) -> PureAlcohol {
        let number = self.number(place, lot);
        number.map_or(PureAlcohol::ZERO, |number| self.holdings[number as usize].before(before))
    }

    pub(crate) fn numbers_of(&self, lot: &Name) -> impl Iterator<Item = u32> {
        self.lots.get(lot).into_iter().flat_map(OfLot::numbers)
    }

    pub(crate) fn number(&self, place: &Place, lot: Option<&Name>) -> Option<u32> {
        match lot {
            Some(lot) => match self.lots.get(lot)? {
                OfLot::One(only) => {
                    Some(*only).filter(|only| self.holdings[*only as usize].place == *place)
                }
                OfLot::Many(all) => all.get(place).copied(),
            },
            None => self.without_lot.get(place).copied(),
        }
    }

    /// Where an entry of the book stands among the acts.
    pub(crate) fn at(&self, number: Serial) -> Position {
        (self.kept(number).map_or(0, |kept| kept.act_ms), number)
    }

    pub(crate) fn kept(&self, number: Serial) -> Option<&Kept> {
        self.kept.get(usize::try_from(number.checked_sub(1)?).ok()?)
    }

    /// Whether an entry may join as the next one; changes nothing.
    ///
    /// # Errors
    /// [`AccountError`] naming what cannot be: the entry itself, a place that would hold less than
    /// nothing, a closed period, an entry that cannot be corrected.
    pub fn judge(&self, entry: &Entry) -> Result<(), AccountError> {
        self.plan(entry).map(drop)
    }

    /// Takes the next entry in.
    ///
    /// # Errors
    /// As [`Ledger::judge`]; nothing has changed then. [`AccountError::OutOfRange`] for a serial
    /// that is not the next.
    pub fn take(&mut self, numbered: &Numbered) -> Result<(), AccountError> {
        let next = self.length() + 1;
        if numbered.number != next {
            return Err(AccountError::OutOfRange {
                field: "serial",
                value: format!("{} after {}", numbered.number, next - 1),
                bound: "must follow the one before it",
                hint: "an entry is missing, doubled or out of place",
            });
        }
        self.join(&numbered.entry)
    }

    /// What an entry would change, where it may join.
    fn plan(&self, entry: &Entry) -> Result<Plan, AccountError> {
        entry.check()?;
        let number = self.length() + 1;
        self.check_open(entry)?;
        self.check_corrects(entry)?;
        self.check_counted(entry, number)?;
        let mut fresh = Vec::new();
        let legs: Box<[KeptLeg]> = entry
            .from
            .iter()
            .chain(&entry.to)
            .map(|leg| KeptLeg {
                holding: self.number_of(&mut fresh, leg),
                nanolitres: leg.alcohol.nanolitres(),
                bottles: leg.bottles.unwrap_or_default(),
            })
            .collect();
        let from = u32::try_from(entry.from.len()).unwrap_or(u32::MAX);
        let spent = entry.spent.map(Box::new);
        #[expect(clippy::cast_possible_truncation, reason = "a doubt needs no more digits")]
        let not_explained_sd_l = entry.not_explained_sd_l.map(|sd| sd as f32);
        let (kind, act_ms, corrected_by) = (entry.kind, entry.act_ms, None);
        let gauge = entry.gauge.as_ref();
        let overdue = gauge.is_some_and(|gauge| gauge.overdue(act_ms).next().is_some());
        let kept =
            Kept { kind, act_ms, legs, from, corrected_by, spent, not_explained_sd_l, overdue };
        let tails = self.tails(&fresh, &kept, number, entry.corrects)?;
        Ok(Plan { fresh, tails, kept })
    }

    fn join(&mut self, entry: &Entry) -> Result<(), AccountError> {
        let Plan { fresh, tails, kept } = self.plan(entry)?;
        let number = self.length() + 1;
        for holding in fresh {
            let at = u32::try_from(self.holdings.len()).unwrap_or(u32::MAX);
            self.number_new(&holding, at);
            self.holdings.push(holding);
        }
        for tail in tails {
            let events = &mut self.holdings[tail.holding as usize].events;
            events.truncate(tail.first);
            if events.len() < FEW_EVENTS {
                // Most lots come, go and are done: no room is kept for more.
                events.reserve_exact(tail.events.len());
            }
            events.extend(tail.events);
        }
        if let Some(old) = entry.corrects.and_then(|old| usize::try_from(old - 1).ok()) {
            self.kept[old].corrected_by = Some(number);
        }
        if entry.kind == EntryKind::Close {
            self.closed = Some((entry.act_ms, number));
        }
        let at = (entry.act_ms, number);
        let place = self.order.partition_point(|earlier| self.at(*earlier) < at);
        self.order.insert(place, number);
        if let Some(key) = &entry.key {
            self.keys.insert(key.clone(), number);
        }
        self.kept.push(kept);
        Ok(())
    }

    /// Notes the number of a new holding under its lot and place.
    fn number_new(&mut self, holding: &Holding, at: u32) {
        let Some(lot) = &holding.lot else {
            self.without_lot.insert(holding.place.clone(), at);
            return;
        };
        match self.lots.get_mut(lot) {
            None => drop(self.lots.insert(lot.clone(), OfLot::One(at))),
            Some(of_lot) => of_lot.add(holding, at, &self.holdings),
        }
    }

    /// The number of a leg's holding; a new one goes to the end of `fresh`.
    fn number_of(&self, fresh: &mut Vec<Holding>, leg: &Leg) -> u32 {
        if let Some(number) = self.number(&leg.place, leg.lot.as_ref()) {
            return number;
        }
        let same = |one: &Holding| one.place == leg.place && one.lot == leg.lot;
        let at = fresh.iter().position(same).unwrap_or_else(|| {
            let (place, lot) = (leg.place.clone(), leg.lot.clone());
            fresh.push(Holding { place, lot, events: Vec::new() });
            fresh.len() - 1
        });
        u32::try_from(self.holdings.len() + at).unwrap_or(u32::MAX)
    }

    fn check_open(&self, entry: &Entry) -> Result<(), AccountError> {
        match self.closed {
            Some((upto_ms, closed)) if entry.kind != EntryKind::Void && entry.act_ms <= upto_ms => {
                Err(AccountError::Closed { closed })
            }
            _ => Ok(()),
        }
    }

    fn check_corrects(&self, entry: &Entry) -> Result<(), AccountError> {
        for number in [entry.corrects, entry.about].into_iter().flatten() {
            if self.kept(number).is_none() {
                let why = "is not in the book";
                return Err(AccountError::NotCorrectable { entry: number, why });
            }
        }
        let Some(number) = entry.corrects else { return Ok(()) };
        let Some(old) = self.kept(number) else { return Ok(()) };
        if old.corrected_by.is_some() {
            let why = "does not hold any more: it was corrected already";
            return Err(AccountError::NotCorrectable { entry: number, why });
        }
        if matches!(old.kind, EntryKind::Close | EntryKind::Void) {
            let why = "closes a period or takes another entry back: that stays";
            return Err(AccountError::NotCorrectable { entry: number, why });
        }
        match self.closed {
            Some((upto_ms, closed)) if old.act_ms <= upto_ms => {
                Err(AccountError::Closed { closed })
            }
            _ => Ok(()),
        }
    }

    /// A count has the book's own figure beside it, and its difference is what it moves.
    fn check_counted(&self, entry: &Entry, number: Serial) -> Result<(), AccountError> {
        let Some(counted) = entry.counted else { return Ok(()) };
        let refused = |value, bound, hint| {
            Err(AccountError::OutOfRange { field: "counted", value, bound, hint })
        };
        let is_stock = |leg: &&Leg| leg.place.kind().side() == Side::Stock;
        let legs: Vec<&Leg> = entry.from.iter().chain(&entry.to).filter(is_stock).collect();
        let [leg] = legs[..] else {
            let (value, bound) = (legs.len().to_string(), "must be of one lot in one place");
            return refused(value, bound, "count one lot after the other");
        };
        let (lot, at) = (leg.lot.as_ref(), (entry.act_ms, number));
        let book = self.held_without(&leg.place, lot, at, entry.corrects);
        if counted.book != book {
            let value = format!("{} L in the book, where the book has {book} L", counted.book);
            return refused(value, "must stand beside what the book has", "count it again");
        }
        let into: PureAlcohol = entry.to.iter().filter(is_stock).map(|leg| leg.alcohol).sum();
        let out: PureAlcohol = entry.from.iter().filter(is_stock).map(|leg| leg.alcohol).sum();
        if counted.found == book.plus(into).less(out) {
            return Ok(());
        }
        let value = format!("{} L against {book} L in the book", counted.found);
        refused(value, "must differ from the book by what the entry moves", "name the difference")
    }

    /// The changed ends of every holding an entry touches, or the place that would hold less than
    /// nothing.
    fn tails(
        &self,
        fresh: &[Holding],
        entry: &Kept,
        number: Serial,
        corrects: Option<Serial>,
    ) -> Result<Vec<Tail>, AccountError> {
        let old = corrects.and_then(|old| Some((self.kept(old)?, old)));
        let of_old = old.iter().flat_map(|(old, _)| old.legs.iter());
        let mut touched: Vec<u32> =
            entry.legs.iter().chain(of_old).map(|leg| leg.holding).collect();
        touched.sort_unstable();
        touched.dedup();
        let gone = old.map(|(old, number)| (old.act_ms, number));
        let held = |number: u32| {
            let known = self.holdings.len();
            self.holdings.get(number as usize).unwrap_or_else(|| &fresh[number as usize - known])
        };
        touched
            .iter()
            .map(|number_of| tail(*number_of, held(*number_of), entry, number, gone))
            .collect()
    }
}

/// The changed end of one holding.
fn tail(
    holding: u32,
    held: &Holding,
    entry: &Kept,
    number: Serial,
    gone: Option<Position>,
) -> Result<Tail, AccountError> {
    let at = (entry.act_ms, number);
    let sum = |legs: &[KeptLeg]| {
        legs.iter().filter(|leg| leg.holding == holding).map(|leg| leg.nanolitres).sum::<i64>()
    };
    let new = Event { at, out: sum(entry.from()), into: sum(entry.to()), after: 0 };
    let earliest = gone.map_or(at, |gone| gone.min(at));
    let first = held.events.partition_point(|event| event.at < earliest);
    let mut after = first.checked_sub(1).map_or(0, |last| held.events[last].after);
    let mut rest: Vec<Event> =
        held.events[first..].iter().filter(|event| Some(event.at) != gone).copied().collect();
    if entry.legs.iter().any(|leg| leg.holding == holding) {
        let place = rest.partition_point(|event| event.at < at);
        rest.insert(place, new);
    }
    let overdrawn = |left: i64, at: Position| AccountError::Overdrawn {
        place: held.whereabouts(),
        left: PureAlcohol::of_nanolitres(left).to_string(),
        after: at.1,
    };
    for event in &mut rest {
        let left = after - event.out;
        if left < 0 && held.is_stock() {
            return Err(overdrawn(left, event.at));
        }
        after = left.checked_add(event.into).ok_or_else(|| overdrawn(left, event.at))?;
        event.after = after;
    }
    Ok(Tail { holding, first, events: rest })
}
