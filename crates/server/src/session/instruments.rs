//! The instruments a run is read with: what the house knows of them when it is opened, and whenever
//! they change while it goes on.

use store::{Entry, RunInstrument, RunInstruments, RunMode, StoreError};

use super::state::RunSession;
use crate::problem::ApiError;

impl RunSession {
    /// From here on these are in force; where they are so already nothing is written.
    pub(super) fn take_instruments(
        &mut self,
        instruments: Vec<RunInstrument>,
    ) -> Result<(), ApiError> {
        if self.mode != RunMode::Real || self.ended.is_some() {
            return Ok(());
        }
        // After all that was read so far: run time is kept in milliseconds.
        let time_s = if self.time.is_some() { self.now_s() + 0.001 } else { 0.0 };
        let time_s = (time_s * 1000.0).round() / 1000.0;
        let list = RunInstruments { time_s, instruments };
        let in_force = list.in_force()?;
        if in_force == self.options.instruments.last() {
            return Ok(());
        }
        self.write(vec![(self.clock.now_ms(), Entry::Instruments(list))])?;
        self.options.instruments.put(time_s, in_force);
        self.resize_jars()?;
        self.news = true;
        Ok(())
    }

    /// As the house knows them now, and what of the still is past its date before heat.
    pub(super) fn look_for_instruments(&mut self) {
        let now_ms = self.clock.now_ms();
        if self.mode == RunMode::Real && self.time.is_none() {
            let overdue = self.keeper.reader().overdue_before_heat(&self.plan.still.name, now_ms);
            match overdue {
                Ok(overdue) => {
                    self.news |= overdue != self.overdue;
                    self.overdue = overdue;
                }
                Err(error) => {
                    tracing::error!("run {}: what is overdue is not known: {error}", self.id);
                }
            }
        }
        let known = self.keeper.reader().instruments(&self.plan.still.name);
        let list: Result<Vec<_>, StoreError> =
            known.map(|all| all.iter().map(|one| one.of_run(now_ms)).collect());
        let taken = list.map_err(ApiError::from).and_then(|list| self.take_instruments(list));
        if let Err(error) = taken {
            tracing::error!("run {}: its instruments are not known: {error}", self.id);
        }
    }
}
