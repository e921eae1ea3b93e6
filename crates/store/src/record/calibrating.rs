//! Writing a calibration down, and what was last stated by one.

use still::plan::Measured;

use super::append;
use super::calibrated::{CALIBRATED_KEYS, CalibrationDropped, StillCalibration, take_over};
use super::entry::{Entry, OwnStillRecord};
use super::open::Store;
use super::run_id::EntryNumber;
use crate::error::StoreError;

impl Store {
    /// Keeps what several runs gave as what is stated of their still: what was learned against the
    /// values before does not count any more. Where the house's own still has that name, or there
    /// is none, it has the new values from now on. Gives the number of the entry.
    ///
    /// # Errors
    /// [`StoreError::Entry`], [`StoreError::Plan`] for a still that cannot be; else as
    /// [`Store::append`].
    pub fn calibrate(
        &self,
        calibration: &StillCalibration,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        calibration.check()?;
        let own = match self.own_still()? {
            None => Some(OwnStillRecord {
                still: calibration.still.clone(),
                defaulted: Vec::new(),
                measured: Measured::default(),
            }),
            Some(mut own) if own.still.name == calibration.still.name => {
                calibration.put_into(&mut own.still);
                own.defaulted.retain(|key| !CALIBRATED_KEYS.contains(&key.as_str()));
                Some(own)
            }
            Some(_) => None,
        };
        self.state_with(Entry::Calibrated(Box::new(calibration.clone())), own, now_ms)
    }

    /// Sets the calibration of a still aside: what was stated before it is believed again, but for
    /// what a person changed since. What was learned since does not count any more. Gives the
    /// number of the entry.
    ///
    /// # Errors
    /// [`StoreError::NotCalibrated`] where no calibration stands, [`StoreError::Entry`] for an
    /// empty reason; else as [`Store::append`].
    pub fn drop_calibration(
        &self,
        still: &str,
        reason: &str,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        let Some(calibration) = self.calibrated(still)? else {
            return Err(StoreError::NotCalibrated { still: crate::rows::shown(still) });
        };
        let own = self.own_still()?.filter(|own| own.still.name == still);
        let before = self.stated_before(still)?;
        let own = before.zip(own).map(|(before, own)| put_back(before, &calibration, own));
        let dropped = CalibrationDropped { still: still.to_owned(), reason: reason.to_owned() };
        self.state_with(Entry::CalibrationDropped(Box::new(dropped)), own, now_ms)
    }

    /// Writes an entry of the house, and with it the house's own still where that changes. Gives
    /// the number of the first.
    fn state_with(
        &self,
        entry: Entry,
        own: Option<OwnStillRecord>,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        let both = own.is_some();
        let last = self.writing(|transaction| {
            let first = append::add_to_house(transaction, entry, now_ms)?;
            match own {
                Some(own) => {
                    let entry = Entry::OwnStill(Box::new(own));
                    append::add_to_house(transaction, entry, now_ms)
                }
                None => Ok(first),
            }
        })?;
        Ok(last.number - i64::from(both))
    }

    /// What was stated of a still before the first of the calibrations that stand.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn stated_before(&self, still: &str) -> Result<Option<OwnStillRecord>, StoreError> {
        let (mut latest, mut before, mut stands) = (None, None, false);
        let kinds = ["own_still", "calibrated", "calibration_dropped", "still_reset"];
        self.for_each_of_house(&kinds, |logged| {
            match logged.entry {
                Entry::OwnStill(own) if own.still.name == still => latest = Some(*own),
                Entry::Calibrated(calibration) if calibration.still.name == still && !stands => {
                    stands = true;
                    before = latest.clone().or_else(|| {
                        let still = *calibration.stated?;
                        let (defaulted, measured) = (Vec::new(), Measured::default());
                        Some(OwnStillRecord { still, defaulted, measured })
                    });
                }
                Entry::CalibrationDropped(dropped) if dropped.still == still => stands = false,
                Entry::StillReset(reset) if reset.still == still && !reset.rehearsed => {
                    stands = false;
                }
                _ => {}
            }
            Ok(())
        })?;
        Ok(before.filter(|_| stands))
    }

    /// What was last stated of the real still of that name by a calibration.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn calibrated(&self, name: &str) -> Result<Option<StillCalibration>, StoreError> {
        Ok(self.still(name, false)?.and_then(|state| state.calibrated).map(|note| note.calibration))
    }
}

/// The own still with what was stated before, where it still is as the calibration put it.
fn put_back(
    before: OwnStillRecord,
    calibration: &StillCalibration,
    mut own: OwnStillRecord,
) -> OwnStillRecord {
    let untouched = |key: &&str| {
        let mut other = own.still.clone();
        take_over(&calibration.still, &mut other, &[*key]);
        other == own.still
    };
    let keys: Vec<&str> = CALIBRATED_KEYS.into_iter().filter(|key| untouched(key)).collect();
    take_over(&before.still, &mut own.still, &keys);
    let assumed = before.defaulted.into_iter().filter(|key| keys.contains(&key.as_str()));
    own.defaulted.extend(assumed);
    own
}
