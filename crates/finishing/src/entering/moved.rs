//! An act that takes a spirit from one place to another, with what stays on the way.

use account::{AccountError, Entry, EntryKind, Ledger, Leg, Name, Place, PureAlcohol};

use super::stand::Stand;
use super::{held, of_kind, same};

/// From one place to another; what comes out is what went in, less what stayed apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which act.
    pub kind: EntryKind,
    /// Where it was.
    pub out_of: Stand,
    /// Litres of pure alcohol that went in, as reckoned.
    pub pure_alcohol_l: f64,
    /// Where what came out is.
    pub into: Stand,
    /// Its strength, % vol.
    pub strength_vol: f64,
    /// What stayed on the way: a bed with its lot, or a loss; litres of pure alcohol.
    pub apart: Vec<(Place, Option<Name>, f64)>,
    /// Bottles, and what one holds by its label, mL.
    pub bottles: Option<(u32, f64)>,
    /// What is said of it where nobody says anything else.
    pub words: String,
}

impl Moved {
    /// A move that loses nothing yet.
    #[must_use]
    pub fn new(
        kind: EntryKind,
        (out_of, into): (Stand, Stand),
        pure_alcohol_l: f64,
        strength_vol: f64,
    ) -> Self {
        let (apart, bottles, words) = (Vec::new(), None, String::new());
        Self { kind, out_of, pure_alcohol_l, into, strength_vol, apart, bottles, words }
    }

    pub(super) fn key(&self) -> String {
        let Self { kind, out_of, into, pure_alcohol_l, strength_vol, .. } = self;
        let bottles =
            self.bottles.map_or_else(String::new, |(count, ml)| format!(", {count}x{ml}"));
        let words = format!("{kind} {out_of} into {into}: {pure_alcohol_l:.6} L, ");
        let apart: f64 = self.apart.iter().map(|(_, _, litres)| litres).sum();
        format!("{words}{strength_vol:.3} % vol, {apart:.6} L apart{bottles}")
    }

    pub(super) fn entry(&self, ledger: &Ledger, entry: &Entry) -> Result<Entry, AccountError> {
        let held = held(ledger, &self.out_of, entry)?;
        let reckoned = PureAlcohol::of_litres(self.pure_alcohol_l)?;
        let taken = if same(held, reckoned) { held } else { reckoned };
        let apart = |(place, lot, litres): &(Place, Option<Name>, f64)| {
            Ok(Leg::new(place.clone(), lot.clone(), PureAlcohol::of_litres(*litres)?))
        };
        let apart = self.apart.iter().map(apart).collect::<Result<Vec<_>, AccountError>>()?;
        let stays: PureAlcohol = apart.iter().map(|leg| leg.alcohol).sum();
        if stays >= taken {
            return Err(AccountError::OutOfRange {
                field: "lost",
                value: format!("{stays} L of the {taken} L of pure alcohol that move"),
                bound: "must be less than what moves",
                hint: "look at the litres, the strength and the place it comes out of",
            });
        }
        let mut made = of_kind(entry, self.kind, || self.words.clone());
        made.from = vec![self.out_of.leg(taken)];
        let out = self.into.liquid(taken.less(stays), self.strength_vol);
        let (bottles, bottle_ml) = self.bottles.unzip();
        made.to = vec![Leg { bottles, bottle_ml, ..out }];
        made.to.extend(apart.into_iter().filter(|leg| leg.alcohol > PureAlcohol::ZERO));
        Ok(made)
    }
}
