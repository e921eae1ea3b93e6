//! An instrument that a gauge of the account was made with, marked by how its calibration stood.

use account::Instrument;

use super::entry::Entry;
use super::open::Store;
use super::run_id::EntryNumber;
use super::tended::{Tended, UpkeepKind};
use crate::error::StoreError;

/// When a calibration ends, and the entry of the house that has it.
type Ends = (Option<i64>, Option<EntryNumber>);

impl Store {
    /// Says of every instrument of a gauge when its calibration ends, where the house knows it and
    /// nobody said so: from then on the gauge is marked wherever it is looked at.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub(super) fn date_instruments(&self, entry: &mut account::Entry) -> Result<(), StoreError> {
        let Some(gauge) = &mut entry.gauge else { return Ok(()) };
        let unsaid = |one: &&mut Instrument| one.due_ms.is_none() && one.calibration.is_none();
        for one in gauge.instruments.iter_mut().filter(unsaid) {
            *one = self.dated_instrument(&one.id)?;
        }
        Ok(())
    }

    /// An instrument of that name, with when its calibration ends, where the house knows it.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn dated_instrument(&self, name: &str) -> Result<Instrument, StoreError> {
        let (due_ms, number) = self.calibration_of(name)?.unwrap_or_default();
        let calibration = number.map(|number| format!("entry {number} of the house"));
        Ok(Instrument { id: name.to_owned(), due_ms, calibration })
    }

    /// When the calibration of an instrument of that name ends, and the entry of the last one; nothing
    /// where nobody knows of it.
    fn calibration_of(&self, name: &str) -> Result<Option<Ends>, StoreError> {
        let mut found: Option<Ends> = None;
        let mut stills: Vec<String> = Vec::new();
        self.for_each_of_house(&["instrument_calibrated", "upkeep"], |logged| {
            match logged.entry {
                Entry::InstrumentCalibrated(one) if one.name == name => {
                    found = Some((one.due_ms, Some(logged.number)));
                }
                Entry::Tended(tended) => {
                    if let Tended::Upkeep(one) = *tended
                        && one.name == name
                        && one.kind == UpkeepKind::Calibration
                        && !stills.contains(&one.still)
                    {
                        stills.push(one.still);
                    }
                }
                _ => {}
            }
            Ok(())
        })?;
        for still in stills {
            for one in self.upkeep(&still)?.into_iter().filter(|one| one.upkeep.name == name) {
                let last = one.done.last().map(|done| done.0);
                let before = found.unwrap_or_default();
                let due_ms = [before.0, one.due_ms].into_iter().flatten().min();
                found = Some((due_ms, last.or(before.1)));
            }
        }
        Ok(found)
    }
}
