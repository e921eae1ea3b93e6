//! An entry as a person types it: places with amounts in words, resolved against the book.

use alcoholometry::typed::{Typed, VOL};
use quantities::TypedValue;

use crate::amount::PureAlcohol;
use crate::entry::{Entry, Leg, Serial};
use crate::error::{AccountError, shown};
use crate::gauge::{Gauge, Instrument, Raw};
use crate::ledger::Ledger;
use crate::name::Name;
use crate::place::{Place, PlaceKind, Side};
use crate::profile::AccountUnit;

/// How much a typed leg moves.
#[derive(Debug, Clone, PartialEq)]
enum Amount {
    /// Pure alcohol: so many of a unit.
    Pure(f64, AccountUnit),
    /// Litres at 20 °C and their strength.
    Liquid(Typed, Typed),
    /// Bottles, mL of one by its label, strength.
    Bottles(u32, Typed, Typed),
    /// Everything that is there.
    All,
    /// What the other legs leave over.
    Rest,
    /// What the gauge of the entry found.
    Gauged,
}

/// A leg as it is typed: `PLACE/LOT=AMOUNT`.
///
/// The amount is litres of pure alcohol (`1.25`), proof gallons (`0.7pg`), hectolitres of pure
/// alcohol (`0.01hl`), litres at 20 °C with their strength (`3.1@40`), bottles with their size and
/// strength (`12x700@40`), `all`, `rest` or `gauged`. Litres, millilitres and strength may have
/// another unit behind them (`5 US gal@80 US proof`): the entry keeps it.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedLeg {
    place: Place,
    lot: Option<Name>,
    amount: Amount,
}

fn refused(value: &str, bound: &'static str) -> AccountError {
    let hint = "as tank:T1/L-14=1.25, =3.1@40, =12x700@40, =all, =rest or =gauged; a loss as loss:spill=rest";
    AccountError::OutOfRange { field: "place", value: shown(value), bound, hint }
}

fn number(text: &str) -> Result<f64, AccountError> {
    let found = text.trim().replace(',', ".").parse::<f64>().ok();
    found.filter(|value| value.is_finite()).ok_or_else(|| refused(text, "must hold a number"))
}

/// Pure alcohol as it is typed: litres, or with the letters of another unit behind it.
fn pure(typed: &str) -> Result<Amount, AccountError> {
    let units = [AccountUnit::ProofGallons, AccountUnit::PureAlcoholHl];
    let found =
        units.into_iter().find_map(|unit| Some((typed.strip_suffix(unit.letters())?, unit)));
    let (amount, unit) = found.unwrap_or((typed, AccountUnit::PureAlcoholL));
    let amount = number(amount)?;
    unit.alcohol(amount)?;
    Ok(Amount::Pure(amount, unit))
}

/// A number of a leg with the unit it was typed in.
fn read(text: &str, of: &'static str, bound: &'static str) -> Result<Typed, AccountError> {
    Typed::read(text, of).map_err(|_| refused(text, bound))
}

fn litres(text: &str) -> Result<Typed, AccountError> {
    read(text, "L", "must be litres, or a number with L, US gal or imp gal behind it")
}

fn millilitres(text: &str) -> Result<Typed, AccountError> {
    read(text, "mL", "must be millilitres, or a number with mL, US fl oz or imp fl oz behind it")
}

fn strength(text: &str) -> Result<Typed, AccountError> {
    read(text, VOL, "must be % vol, or a number with US proof behind it")
}

impl TypedLeg {
    /// The leg of a text.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for a text that is none.
    pub fn of_text(text: &str) -> Result<Self, AccountError> {
        let (whereabouts, amount) =
            text.trim().split_once('=').ok_or_else(|| refused(text, "must be PLACE/LOT=AMOUNT"))?;
        let (place, lot) = match whereabouts.split_once('/') {
            Some((place, lot)) => (place, Some(Name::new(lot)?)),
            None => (whereabouts, None),
        };
        let place = Place::of_text(place)?;
        let amount = match amount.trim() {
            "all" => Amount::All,
            "rest" => Amount::Rest,
            "gauged" => Amount::Gauged,
            typed => match typed.split_once('@') {
                None => pure(typed)?,
                Some((how_much, vol)) => match how_much.split_once('x') {
                    None => Amount::Liquid(litres(how_much)?, strength(vol)?),
                    Some((count, ml)) => {
                        let bottles = count.trim().parse();
                        let bottles =
                            bottles.map_err(|_| refused(text, "must count whole bottles"))?;
                        Amount::Bottles(bottles, millilitres(ml)?, strength(vol)?)
                    }
                },
            },
        };
        Ok(Self { place, lot, amount })
    }

    fn resolved(&self, lot: Option<Name>, alcohol: PureAlcohol) -> Leg {
        let leg = Leg::new(self.place.clone(), lot, alcohol);
        match &self.amount {
            Amount::Liquid(litres, vol) => {
                Leg { litres_20c: Some(litres.value), strength_vol: Some(vol.value), ..leg }
            }
            Amount::Bottles(bottles, ml, vol) => Leg {
                litres_20c: Some(f64::from(*bottles) * ml.value / 1000.0),
                strength_vol: Some(vol.value),
                bottles: Some(*bottles),
                bottle_ml: Some(ml.value),
                ..leg
            },
            _ => leg,
        }
    }

    /// Its numbers that were typed in other units; `leg` is what it is called in its entry.
    fn noted(&self, leg: &str) -> Vec<TypedValue> {
        let key = |name: &str| format!("{leg}.{name}");
        let noted = match &self.amount {
            Amount::Pure(amount, unit) => [unit.typed(key("pure_alcohol_l"), *amount), None],
            Amount::Liquid(litres, vol) => {
                [litres.noted(key("litres_20c")), vol.noted(key("strength_vol"))]
            }
            Amount::Bottles(_, ml, vol) => {
                [ml.noted(key("bottle_ml")), vol.noted(key("strength_vol"))]
            }
            Amount::All | Amount::Rest | Amount::Gauged => [None, None],
        };
        noted.into_iter().flatten().collect()
    }
}

/// An entry as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Kind, moments, people, words.
    pub entry: Entry,
    /// What it takes from.
    pub from: Vec<TypedLeg>,
    /// What it brings to.
    pub to: Vec<TypedLeg>,
    /// What was read, with which instruments.
    pub read: Option<(Raw, Vec<Instrument>)>,
}

impl Draft {
    /// The entry, its amounts taken from the book and the gauge.
    ///
    /// # Errors
    /// [`AccountError`] where an amount is missing or does not come out; whether the entry may join
    /// is for [`Ledger::judge`].
    pub fn resolve(&self, ledger: &Ledger) -> Result<Entry, AccountError> {
        let mut entry = self.entry.clone();
        if let Some((raw, instruments)) = &self.read {
            entry.gauge = Some(Box::new(Gauge::of(*raw, instruments.clone())?));
        }
        let at = (entry.act_ms, ledger.length() + 1);
        let gauge = entry.gauge.as_deref();
        let from = legs(&self.from, ledger, at, gauge)?;
        let to = legs(&self.to, ledger, at, gauge)?;
        let sum = |legs: &[Leg]| legs.iter().map(|leg| leg.alcohol).sum::<PureAlcohol>();
        let (taken, brought) = (sum(&from), sum(&to));
        let open =
            |typed: &[TypedLeg]| typed.iter().filter(|leg| leg.amount == Amount::Rest).count();
        let rest = match (open(&self.from), open(&self.to)) {
            (0, 0) => None,
            (0, 1) => Some(taken.less(brought)),
            (1, 0) => Some(brought.less(taken)),
            _ => return Err(refused("rest", "must stand in one leg at most")),
        };
        if rest.is_some_and(|rest| rest < PureAlcohol::ZERO) {
            let (taken, brought) =
                if open(&self.to) == 1 { (taken, brought) } else { (brought, taken) };
            return Err(AccountError::Unbalanced {
                taken: taken.to_string(),
                brought: brought.to_string(),
            });
        }
        let fill = |legs: Vec<Leg>, typed: &[TypedLeg]| {
            let filled =
                legs.into_iter().zip(typed).map(|(leg, typed)| match (&typed.amount, rest) {
                    (Amount::Rest, Some(alcohol)) => Leg { alcohol, ..leg },
                    _ => leg,
                });
            filled.collect::<Vec<_>>()
        };
        entry.from = fill(from, &self.from);
        entry.to = fill(to, &self.to);
        for (side, typed) in [("from", &self.from), ("to", &self.to)] {
            for (at, leg) in typed.iter().enumerate() {
                entry.typed.extend(leg.noted(&format!("{side}[{at}]")));
            }
        }
        if entry.to.iter().any(|leg| leg.place.kind() == PlaceKind::NotExplained) {
            entry.not_explained_sd_l = entry.gauge.as_ref().map(|gauge| gauge.alcohol_sd_l);
        }
        Ok(entry)
    }
}

fn legs(
    typed: &[TypedLeg],
    ledger: &Ledger,
    at: (i64, Serial),
    gauge: Option<&Gauge>,
) -> Result<Vec<Leg>, AccountError> {
    let one = |leg: &TypedLeg| {
        let lot = match &leg.lot {
            Some(lot) => Some(lot.clone()),
            None if leg.place.kind().side() == Side::Stock => Some(only_lot(ledger, leg)?),
            None => None,
        };
        let alcohol = match &leg.amount {
            Amount::Pure(amount, unit) => unit.alcohol(*amount)?,
            Amount::Liquid(litres, vol) => PureAlcohol::of_liquid(litres.value, vol.value)?,
            Amount::Bottles(bottles, ml, vol) => {
                PureAlcohol::of_liquid(f64::from(*bottles) * ml.value / 1000.0, vol.value)?
            }
            Amount::All => ledger.held(&leg.place, lot.as_ref(), at),
            Amount::Rest => PureAlcohol::ZERO,
            Amount::Gauged => {
                let missing = || refused("gauged", "must come with a quantity and a reading");
                let gauge = gauge.ok_or_else(missing)?;
                let found = leg.resolved(lot, gauge.alcohol);
                let (litres, vol) = (gauge.litres_20c, gauge.strength_vol);
                return Ok(Leg { litres_20c: Some(litres), strength_vol: Some(vol), ..found });
            }
        };
        Ok(leg.resolved(lot, alcohol))
    };
    typed.iter().map(one).collect()
}

/// The one lot that stands in a place, where nobody says which.
fn only_lot(ledger: &Ledger, leg: &TypedLeg) -> Result<Name, AccountError> {
    let there = ledger
        .holdings()
        .iter()
        .filter(|holding| holding.place == leg.place && holding.now() > PureAlcohol::ZERO);
    let lots: Vec<&Name> = there.filter_map(|holding| holding.lot.as_ref()).take(2).collect();
    match lots[..] {
        [lot] => Ok(lot.clone()),
        _ => Err(AccountError::OutOfRange {
            field: "lot",
            value: leg.place.to_string(),
            bound: "must name its lot: there is none, or more than one",
            hint: "as tank:T1/L-14",
        }),
    }
}
