//! Which entry has a place in which log.

use rusqlite::{OptionalExtension, Transaction, params};

use super::entry::Entry;
use super::run_id::{EntryNumber, RunId};
use super::units::EnteredUnits;
use crate::error::StoreError;

/// Kinds of entry that can be taken back.
const WITHDRAWABLE: [&str; 6] = ["action", "jar", "begun", "checks", "jar_size", "read_by_hand"];
/// Kinds of entry in whose place another can be put.
const CORRECTABLE: [&str; 4] = ["action", "jar", "jar_size", "read_by_hand"];

/// Refuses entries that have no place in this run.
pub(super) fn belongs(
    transaction: &Transaction<'_>,
    run: &RunId,
    entry: &Entry,
) -> Result<(), StoreError> {
    let house = run.as_str() == RunId::HOUSE;
    let book = run.as_str() == RunId::BOOK;
    let refused = |bound| StoreError::Entry { field: "kind", value: entry.kind().into(), bound };
    match entry {
        Entry::Account(_) if book => Ok(()),
        Entry::Account(_) => Err(refused("the account of pure alcohol has a log of its own")),
        _ if book => Err(refused("the log of the book holds only the account of pure alcohol")),
        Entry::Wash(_) if run.is_wash() => Ok(()),
        Entry::Units(EnteredUnits::Typed(_)) if house || run.is_wash() => Ok(()),
        Entry::Wash(_) => Err(refused("what is written of a wash belongs to its own log")),
        _ if run.is_wash() => Err(refused("the log of a wash holds only what is written of it")),
        Entry::Opened(_) => Err(refused("only the first entry opens a run")),
        Entry::OwnStill(_)
        | Entry::Learned(_)
        | Entry::StillReset(_)
        | Entry::Calibrated(_)
        | Entry::CalibrationDropped(_)
        | Entry::LossAccepted(_)
        | Entry::Learning(_)
        | Entry::PlanKept(_)
        | Entry::PlanDropped { .. }
        | Entry::Instrument(_)
        | Entry::InstrumentCalibrated(_)
        | Entry::InstrumentDropped(_)
        | Entry::Tended(_) => {
            let bound = "what is known of stills and plans belongs to the house";
            if house { Ok(()) } else { Err(refused(bound)) }
        }
        Entry::Withdrawn { entry: gone } => {
            let bound = "must be the number of an entry of this run that can be taken back";
            is_one_of(transaction, run, *gone, &WITHDRAWABLE, bound)
        }
        Entry::Corrected { entry: gone } => {
            let bound = "must be the number of an action, a jar or a reading by hand of this run";
            is_one_of(transaction, run, *gone, &CORRECTABLE, bound)
        }
        _ if house => Err(refused("the log of the house holds only what is known of stills")),
        _ => Ok(()),
    }
}

fn is_one_of(
    transaction: &Transaction<'_>,
    run: &RunId,
    entry: EntryNumber,
    kinds: &[&str],
    bound: &'static str,
) -> Result<(), StoreError> {
    let kind: Option<String> = transaction
        .prepare_cached("SELECT kind FROM entry WHERE run_id = $1 AND number = $2")?
        .query_row(params![run.as_str(), entry], |row| row.get(0))
        .optional()?;
    if kind.is_some_and(|kind| kinds.contains(&kind.as_str())) {
        return Ok(());
    }
    Err(StoreError::Entry { field: "entry", value: entry.to_string(), bound })
}
