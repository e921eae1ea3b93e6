//! What a person reads at the still: one row, asked about where it is unlikely, and kept so that it
//! can be taken back or corrected like any act.

use sense::{Reading, SentRow};
use store::Entry;
use store::rows::RowFault;

use super::keys::Key;
use super::log::{Held, Noted};
use super::row::Row;
use super::state::RunSession;
use crate::problem::ApiError;
use crate::wire::record::{AcceptedWire, ReadingsAsk};

impl RunSession {
    /// Keeps one row that a person read; in a run that is over, at the time it is said to be of.
    pub(super) fn read_one(
        &mut self,
        ask: &ReadingsAsk,
        key: Option<Key>,
    ) -> Result<AcceptedWire, ApiError> {
        let ([row], None, None) = (ask.rows.as_slice(), &ask.sent_at, &ask.device) else {
            let value = format!("{} rows", ask.rows.len());
            let bound = "must be one row, by no device, where a person read it";
            return Err(ApiError::field("rows", value, bound, "leave by_hand out for a device"));
        };
        self.must_have_room(1)?;
        self.advance();
        let time_s =
            if self.is_over() { self.when_over(row.time_s)? } else { self.row_time(0, row, 0)? };
        let reading = self.read_by_a_person(row, ask.sure)?;
        self.typed_row(&ask.entered, &ask.rows)?;
        let entries = vec![(self.moment_ms(time_s), Entry::ReadByHand(time_s, reading))];
        let entry = self.write_act(key, entries, 1, Some(1))?;
        let right = self.options.instruments.corrected(time_s, &reading);
        let said = self.engine.put(Row::Reading(entry, time_s, right));
        self.log.noted.push(Noted { entry, what: Held::Reading(time_s, reading) });
        self.follow_up(&said);
        Ok(AcceptedWire { accepted: 1, entry, clock_off_s: None })
    }

    /// What a person read, refused where no probe shows it and asked about where it is unlikely.
    pub(super) fn read_by_a_person(&self, row: &SentRow, sure: bool) -> Result<Reading, ApiError> {
        let reading = row.cells;
        if reading.is_empty() {
            let bound = "must hold at least one reading";
            return Err(ApiError::field("rows[0]", "empty", bound, "say what was read"));
        }
        if let Some((probe, value)) = reading.out_of_bounds() {
            let fault = RowFault::of_cell(probe, value);
            let field = format!("rows[0].{}", fault.column);
            return Err(ApiError::field(field, fault.value, fault.bound, fault.hint));
        }
        if !sure {
            self.must_be_likely(|against| against.reading(&reading))?;
        }
        Ok(reading)
    }
}
