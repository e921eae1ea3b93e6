//! A ledger as few bytes, and back: what was worked out of a long book need not be worked out again.
//!
//! Only what entries say is kept; what every place holds after each act follows from it anew, and
//! bytes that would leave a place with less than nothing are none of a ledger. Whose bytes they are
//! is for the caller to know: nothing here proves that they belong to a certain book.

use std::collections::BTreeMap;

use crate::entry::Serial;
use crate::holding::{Event, Holding, OfLot};
use crate::kind::EntryKind;
use crate::ledger::{Kept, KeptLeg, Ledger};
use crate::name::Name;
use crate::place::{Place, PlaceKind};
use crate::spent::Spent;

/// Layout of the bytes: another one is another number.
const LAYOUT: u64 = 1;
/// Least bytes of anything that is counted: bounds what a false count could reserve.
const LEAST_BYTES: usize = 2;

/// Bits that say what an entry has.
const HAS_SPENT: u64 = 1;
const HAS_SD: u64 = 2;
const WAS_OVERDUE: u64 = 4;

/// Where bytes are put.
struct Writer(Vec<u8>);

impl Writer {
    /// A whole number, seven bits a byte, the lowest first.
    fn number(&mut self, mut value: u64) {
        while value >= 0x80 {
            self.0.push(value.to_le_bytes()[0] | 0x80);
            value >>= 7;
        }
        self.0.push(value.to_le_bytes()[0]);
    }

    /// One that may be below nought: small ones of both signs are short.
    fn signed(&mut self, value: i64) {
        self.number((value << 1).cast_unsigned() ^ (value >> 63).cast_unsigned());
    }

    fn count(&mut self, of: usize) {
        self.number(of as u64);
    }

    fn text(&mut self, text: &str) {
        self.count(text.len());
        self.0.extend_from_slice(text.as_bytes());
    }

    /// What may be missing, as an empty text: no name is empty.
    fn name(&mut self, name: Option<&str>) {
        self.text(name.unwrap_or_default());
    }

    fn place_of<T: PartialEq>(&mut self, all: &[T], one: &T) {
        self.count(all.iter().position(|other| other == one).unwrap_or(all.len()));
    }

    fn amount(&mut self, value: Option<f64>) {
        self.number(u64::from(value.is_some()));
        self.0.extend_from_slice(&value.unwrap_or_default().to_bits().to_le_bytes());
    }
}

/// Bytes that are none of a ledger.
struct NoLedger;

/// What is left of bytes; nothing where they end too early.
struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn bytes(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(taken)
    }

    fn number(&mut self) -> Option<u64> {
        let mut value = 0;
        for place in 0..10 {
            let (byte, rest) = self.0.split_first()?;
            self.0 = rest;
            value |= u64::from(byte & 0x7f) << (7 * place);
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    fn signed(&mut self) -> Option<i64> {
        let value = self.number()?;
        Some((value >> 1).cast_signed() ^ -(value & 1).cast_signed())
    }

    fn small(&mut self) -> Option<u32> {
        u32::try_from(self.number()?).ok()
    }

    /// How many follow: never more than there are bytes for.
    fn count(&mut self) -> Option<usize> {
        let count = usize::try_from(self.number()?).ok()?;
        (count <= self.0.len() / LEAST_BYTES).then_some(count)
    }

    fn text(&mut self) -> Option<&'a str> {
        let count = usize::try_from(self.number()?).ok()?;
        std::str::from_utf8(self.bytes(count)?).ok()
    }

    /// A name, or none where nothing stands; no ledger's bytes have one that is no name.
    fn name(&mut self) -> Result<Option<Name>, NoLedger> {
        match self.text().ok_or(NoLedger)? {
            "" => Ok(None),
            text => Name::new(text).map(Some).map_err(|_| NoLedger),
        }
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> Option<T> {
        all.get(usize::try_from(self.number()?).ok()?).copied()
    }

    fn amount(&mut self) -> Result<Option<f64>, NoLedger> {
        let is_there = self.number().ok_or(NoLedger)? == 1;
        let bytes = self.bytes(8).and_then(|bytes| bytes.try_into().ok()).ok_or(NoLedger)?;
        Ok(is_there.then(|| f64::from_bits(u64::from_le_bytes(bytes))))
    }
}

/// How many holdings the entries so far have: most legs are of the next new one, of one shortly
/// before it, or of one of the first.
struct Newest(u32);

impl Newest {
    /// Even, how far before the next new one it is; odd, its own number: what is shorter.
    fn code(&mut self, holding: u32) -> u64 {
        let back = self.0.checked_sub(holding).filter(|back| *back <= holding);
        self.0 = self.0.max(holding.saturating_add(1));
        back.map_or((u64::from(holding) << 1) | 1, |back| u64::from(back) << 1)
    }

    fn holding(&mut self, code: u64) -> Option<u32> {
        let value = u32::try_from(code >> 1).ok()?;
        let holding = if code & 1 == 1 { value } else { self.0.checked_sub(value)? };
        self.0 = self.0.max(holding.saturating_add(1));
        Some(holding)
    }
}

impl Ledger {
    /// Everything it was told, in the order of serials. Two ledgers of the same entries give the
    /// same bytes.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut to = Writer(Vec::new());
        to.number(LAYOUT);
        to.count(self.holdings.len());
        for holding in &self.holdings {
            to.place_of(PlaceKind::ALL, &holding.place.kind());
            to.name(holding.place.name());
            to.name(holding.lot.as_ref().map(Name::as_str));
        }
        // In the order of their names: what is sorted already need not be sorted again.
        for number in self.lots.values().flat_map(OfLot::numbers) {
            to.number(u64::from(number));
        }
        to.count(self.kept.len());
        let (mut before_ms, mut newest) = (0, Newest(0));
        for kept in &self.kept {
            put_kept(&mut to, kept, before_ms, &mut newest);
            before_ms = kept.act_ms;
        }
        to.count(self.keys.len());
        for (key, number) in &self.keys {
            to.text(key);
            to.number(*number);
        }
        let (upto_ms, closing) = self.closed.unwrap_or_default();
        to.signed(upto_ms);
        to.number(closing);
        to.0
    }

    /// The ledger of such bytes; none where they are no ledger of this layout.
    #[must_use]
    pub fn of_bytes(bytes: &[u8]) -> Option<Self> {
        let mut from = Reader(bytes);
        if from.number()? != LAYOUT {
            return None;
        }
        let mut ledger = Self::default();
        for _ in 0..from.count()? {
            let kind = from.one_of(PlaceKind::ALL)?;
            let (place, lot) = (Place::new(kind, from.name().ok()?).ok()?, from.name().ok()?);
            ledger.holdings.push(Holding { place, lot, events: Vec::new() });
        }
        ledger.lots = taken_lots(&mut from, &ledger.holdings)?;
        let without = (0..).zip(&ledger.holdings).filter(|(_, one)| one.lot.is_none());
        ledger.without_lot = without.map(|(at, one)| (one.place.clone(), at)).collect();
        let entries = from.count()?;
        ledger.kept.reserve_exact(entries);
        let (mut before_ms, mut newest) = (0, Newest(0));
        for _ in 0..entries {
            let kept = taken_kept(&mut from, before_ms, ledger.holdings.len(), &mut newest)?;
            before_ms = kept.act_ms;
            ledger.kept.push(kept);
        }
        for _ in 0..from.count()? {
            let key = from.text()?.to_owned();
            ledger.keys.insert(key, from.number()?);
        }
        let (upto_ms, closing) = (from.signed()?, from.number()?);
        ledger.closed = (closing > 0).then_some((upto_ms, closing));
        let numbers = 1..=ledger.length();
        ledger.order = numbers.collect();
        let kept = &ledger.kept;
        ledger.order.sort_by_key(|number| (act_ms(kept, *number), *number));
        let adds_up = from.0.is_empty() && ledger.happen();
        adds_up.then_some(ledger)
    }

    /// Has happen to every holding what the entries that hold say, in the order of the acts; says
    /// whether no stock was ever less than nothing.
    fn happen(&mut self) -> bool {
        let Self { holdings, kept, order, .. } = self;
        let mut counts = vec![0_usize; holdings.len()];
        let legs =
            kept.iter().filter(|kept| kept.corrected_by.is_none()).flat_map(|kept| &kept.legs);
        legs.for_each(|leg| counts[leg.holding as usize] += 1);
        for (holding, count) in holdings.iter_mut().zip(counts) {
            holding.events.reserve_exact(count);
        }
        for number in order {
            let Some(kept) = usize::try_from(*number - 1).ok().and_then(|at| kept.get(at)) else {
                return false;
            };
            if kept.corrected_by.is_some() {
                continue;
            }
            let at = (kept.act_ms, *number);
            for (place, leg) in (0_u32..).zip(&kept.legs) {
                let events = &mut holdings[leg.holding as usize].events;
                let last = events.last().copied();
                if last.is_none_or(|last| last.at != at) {
                    let after = last.map_or(0, |last| last.after);
                    events.push(Event { at, out: 0, into: 0, after });
                }
                let Some(event) = events.last_mut() else { return false };
                let change = if place < kept.from {
                    event.out += leg.nanolitres;
                    event.after.checked_sub(leg.nanolitres)
                } else {
                    event.into += leg.nanolitres;
                    event.after.checked_add(leg.nanolitres)
                };
                let Some(after) = change else { return false };
                event.after = after;
            }
        }
        let below = |event: &Event| event.after < event.into;
        !holdings.iter().any(|held| held.is_stock() && held.events.iter().any(below))
    }
}

/// The holdings of every lot, where they come in the order of the lots' names, each once.
fn taken_lots(from: &mut Reader<'_>, holdings: &[Holding]) -> Option<BTreeMap<Name, OfLot>> {
    let count = holdings.iter().filter(|holding| holding.lot.is_some()).count();
    let mut seen = vec![false; holdings.len()];
    let mut lots: Vec<(Name, OfLot)> = Vec::with_capacity(count);
    for _ in 0..count {
        let at = from.small()?;
        if std::mem::replace(seen.get_mut(at as usize)?, true) {
            return None;
        }
        let holding = &holdings[at as usize];
        let lot = holding.lot.as_ref()?;
        match lots.last_mut() {
            Some((last, of_lot)) if last == lot => of_lot.add(holding, at, holdings),
            Some((last, _)) if *last > *lot => return None,
            _ => lots.push((lot.clone(), OfLot::One(at))),
        }
    }
    Some(lots.into_iter().collect())
}

fn act_ms(kept: &[Kept], number: Serial) -> i64 {
    let at = usize::try_from(number - 1).unwrap_or(usize::MAX);
    kept.get(at).map_or(0, |kept| kept.act_ms)
}

fn put_kept(to: &mut Writer, kept: &Kept, before_ms: i64, newest: &mut Newest) {
    to.place_of(EntryKind::ALL, &kept.kind);
    let has = [
        (kept.spent.is_some(), HAS_SPENT),
        (kept.not_explained_sd_l.is_some(), HAS_SD),
        (kept.overdue, WAS_OVERDUE),
    ];
    to.number(has.into_iter().filter(|(is_so, _)| *is_so).map(|(_, bit)| bit).sum());
    to.signed(kept.act_ms - before_ms);
    to.number(kept.corrected_by.unwrap_or_default());
    to.number(u64::from(kept.from));
    to.count(kept.legs.len());
    for leg in &kept.legs {
        to.number(newest.code(leg.holding));
        to.signed(leg.nanolitres);
        to.number(u64::from(leg.bottles));
    }
    if let Some(spent) = &kept.spent {
        for amount in [spent.energy_kwh, spent.water_l, spent.cost] {
            to.amount(amount);
        }
    }
    if let Some(sd) = kept.not_explained_sd_l {
        to.number(u64::from(sd.to_bits()));
    }
}

fn taken_kept(
    from: &mut Reader<'_>,
    before_ms: i64,
    holdings: usize,
    newest: &mut Newest,
) -> Option<Kept> {
    let kind = from.one_of(EntryKind::ALL)?;
    let has = from.number()?;
    let act_ms = before_ms.checked_add(from.signed()?)?;
    let corrected_by = Some(from.number()?).filter(|number| *number > 0);
    let (taking, count) = (from.small()?, from.count()?);
    let mut legs = Vec::with_capacity(count);
    for _ in 0..count {
        let holding = newest.holding(from.number()?)?;
        let (nanolitres, bottles) = (from.signed()?, from.small()?);
        legs.push(KeptLeg { holding, nanolitres, bottles });
    }
    let known = legs.iter().all(|leg| (leg.holding as usize) < holdings && leg.nanolitres >= 0);
    if !known || taking as usize > legs.len() {
        return None;
    }
    let mut spent = None;
    if has & HAS_SPENT != 0 {
        let (energy_kwh, water_l, cost) =
            (from.amount().ok()?, from.amount().ok()?, from.amount().ok()?);
        spent = Some(Box::new(Spent { energy_kwh, water_l, cost }));
    }
    let sd = if has & HAS_SD == 0 { None } else { Some(f32::from_bits(from.small()?)) };
    let legs = legs.into_boxed_slice();
    let overdue = has & WAS_OVERDUE != 0;
    let not_explained_sd_l = sd;
    Some(Kept {
        kind,
        act_ms,
        legs,
        from: taking,
        corrected_by,
        spent,
        not_explained_sd_l,
        overdue,
    })
}
