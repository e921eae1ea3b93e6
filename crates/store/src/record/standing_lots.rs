//! What stands where, lot by lot, with the strength it was last filled with.

use account::{Holding, Name, Place, PureAlcohol, Serial};

use super::open::Store;
use crate::error::StoreError;

/// A lot in a place that holds something.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingLot {
    /// Its name.
    pub lot: Name,
    /// Where it stands.
    pub place: Place,
    /// How much.
    pub alcohol: PureAlcohol,
    /// When something last came in, ms of UTC.
    pub since_ms: i64,
    /// % vol at 20 °C, where all of it came in by one act that says its strength.
    pub strength_vol: Option<f64>,
    /// Litres at 20 °C that follow from it.
    pub litres_20c: Option<f64>,
    /// Whole bottles, where it was filled into such.
    pub bottles: Option<u32>,
    /// With what the act that brought it was gauged, and when that act was, ms of UTC.
    pub gauged: Vec<(account::Instrument, i64)>,
}

/// The last act that brought something, where nothing was there before it.
fn filled_by(holding: &Holding) -> Option<Serial> {
    let last = holding.events.iter().rev().find(|event| event.into > 0)?;
    (last.after == last.into).then_some(last.at.1)
}

fn since_ms(holding: &Holding) -> i64 {
    let last = holding.events.iter().rev().find(|event| event.into > 0);
    last.map_or(0, |event| event.at.0)
}

impl Store {
    /// The lots that stand somewhere, and where asked for those that are used up, by name; at most
    /// `limit`.
    ///
    /// # Errors
    /// As [`Store::account`].
    pub fn standing_lots(&self, all: bool, limit: usize) -> Result<Vec<StandingLot>, StoreError> {
        let found = self.account(|ledger| {
            let lots = ledger.lots().flat_map(|(lot, holdings)| {
                let wanted = move |one: &&Holding| all || one.now() > PureAlcohol::ZERO;
                let standing = holdings.filter(wanted);
                standing.map(|holding| {
                    let one = StandingLot {
                        lot: lot.clone(),
                        place: holding.place.clone(),
                        alcohol: holding.now(),
                        since_ms: since_ms(holding),
                        strength_vol: None,
                        litres_20c: None,
                        bottles: None,
                        gauged: Vec::new(),
                    };
                    (one, filled_by(holding))
                })
            });
            lots.take(limit).collect::<Vec<_>>()
        })?;
        let with_strength = |(lot, filled): (StandingLot, Option<Serial>)| match filled {
            Some(number) if lot.alcohol > PureAlcohol::ZERO => self.with_strength(lot, number),
            _ => Ok(lot),
        };
        found.into_iter().map(with_strength).collect()
    }

    fn with_strength(
        &self,
        mut lot: StandingLot,
        filled: Serial,
    ) -> Result<StandingLot, StoreError> {
        let entry = self.account_entry(filled)?.entry;
        let with = entry.gauge.iter().flat_map(|gauge| &gauge.instruments);
        lot.gauged = with.map(|one| (one.clone(), entry.act_ms)).collect();
        let same =
            |leg: &&account::Leg| leg.place == lot.place && leg.lot.as_ref() == Some(&lot.lot);
        let legs: Vec<_> = entry.to.iter().filter(same).collect();
        let [leg] = legs[..] else { return Ok(lot) };
        let strength_vol = leg.strength_vol.filter(|vol| *vol > 0.0);
        let litres_20c = strength_vol.map(|vol| lot.alcohol.litres() * 100.0 / vol);
        let size_l = leg.bottle_ml.map(|ml| ml / 1000.0);
        #[expect(clippy::cast_possible_truncation, reason = "at most a million bottles of a leg")]
        #[expect(clippy::cast_sign_loss, reason = "a stock is never negative")]
        let bottles = litres_20c.zip(size_l).map(|(litres, size)| (litres / size).round() as u32);
        Ok(StandingLot { strength_vol, litres_20c, bottles, ..lot })
    }
}
