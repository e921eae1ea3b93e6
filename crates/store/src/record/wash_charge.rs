//! A finished wash becomes a charge: its end and its alcohol's entry in the account are one act.

use account::{AccountError, EntryKind, Leg, Name, Place, PlaceKind};

use super::append;
use super::entry::Entry;
use super::open::Store;
use super::run_id::RunId;
use super::wash_entry::{WashCharge, WashEnd, WashEntry};
use super::wash_state::WashState;
use crate::error::StoreError;

impl Store {
    /// Ends a wash as a charge, and enters its alcohol in the account: from what was fermented into
    /// the lot of the wash. A request whose key is known changes nothing.
    ///
    /// # Errors
    /// [`StoreError::WashOver`], [`StoreError::Account`] where somebody's name is missing or the
    /// account takes no such entry; else as [`Store::write_wash`].
    pub fn charge_wash(
        &self,
        id: &RunId,
        end: WashEnd,
        zone_minutes: i32,
        now_ms: i64,
    ) -> Result<WashState, StoreError> {
        let state = self.wash(id)?;
        if end.by.key.as_ref().is_some_and(|key| state.keys.contains_key(key)) {
            return Ok(state);
        }
        let Some(charge) = end.charge.clone() else {
            return self.write_wash(id, vec![WashEntry::Ended(end)], now_ms);
        };
        let (by, at_ms) = (end.by.by.clone().unwrap_or_default(), end.at_ms);
        let entry = WashEntry::Ended(end);
        state.judge(&entry, now_ms)?;
        let mut ledger = self.caught_up()?;
        let mut act = account::Entry::new(EntryKind::Ferment, at_ms, &by);
        (act.entered_ms, act.zone_minutes) = (now_ms, zone_minutes);
        (act.from, act.to) = legs(&charge)?;
        act.note = Some(format!(
            "wash {}: litres ± {:.2}, strength ± {:.2} % vol, one standard deviation",
            state.recipe.title, charge.litres_sd, charge.strength_sd
        ));
        let numbered = account::Numbered { number: ledger.length() + 1, entry: act };
        ledger.judge(&numbered.entry)?;
        let logged = (at_ms, Entry::Wash(Box::new(entry)));
        self.writing(|transaction| {
            append::add_to_book(transaction, std::slice::from_ref(&numbered.entry), now_ms)?;
            append::add(transaction, id, std::slice::from_ref(&logged), now_ms)
        })?;
        ledger.take(&numbered)?;
        drop(ledger);
        self.wash(id)
    }
}

/// From what was fermented into the lot.
fn legs(charge: &WashCharge) -> Result<(Vec<Leg>, Vec<Leg>), AccountError> {
    let lot = Name::new(&charge.lot)?;
    let place = Place::new(PlaceKind::Wash, Some(lot.clone()))?;
    let to = Leg::of_liquid(place, Some(lot), charge.litres, charge.strength_vol)?;
    let from = Leg::new(Place::of_text(PlaceKind::Fermented.word())?, None, to.alcohol);
    Ok((vec![from], vec![to]))
}
