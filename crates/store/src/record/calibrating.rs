//! Writing a calibration down, and what was last stated by one.

use still::plan::Measured;

use super::append;
use super::calibrated::StillCalibration;
use super::entry::{Entry, OwnStillRecord};
use super::open::Store;
use super::run_id::EntryNumber;
use crate::error::StoreError;

/// Keys of the still that a calibration states.
const KEYS: [&str; 7] = [
    "stages",
    "efficiency",
    "vapour_lost",
    "holdup_litres",
    "boiler_loss_w_per_k",
    "column_loss_w_per_k",
    "pressure_drop_pa_per_stage",
];

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
        let own = match self.own_still()? {
            None => Some(OwnStillRecord {
                still: calibration.still.clone(),
                defaulted: Vec::new(),
                measured: Measured::default(),
            }),
            Some(mut own) if own.still.name == calibration.still.name => {
                calibration.put_into(&mut own.still);
                own.defaulted.retain(|key| !KEYS.contains(&key.as_str()));
                Some(own)
            }
            Some(_) => None,
        };
        let mut connection = self.writer()?;
        let transaction = connection.transaction()?;
        let entry = Entry::Calibrated(Box::new(calibration.clone()));
        let mut last = append::add_to_house(&transaction, entry, now_ms)?;
        let number = last.number;
        if let Some(own) = own {
            let entry = Entry::OwnStill(Box::new(own));
            last = append::add_to_house(&transaction, entry, now_ms)?;
        }
        self.commit(transaction, &last)?;
        Ok(number)
    }

    /// What was last stated of the real still of that name by a calibration.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn calibrated(&self, name: &str) -> Result<Option<StillCalibration>, StoreError> {
        Ok(self.still(name, false)?.and_then(|state| state.calibrated).map(|note| note.calibration))
    }
}
