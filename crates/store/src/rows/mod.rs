//! One row of each table of a run in the words of its file, shared by folders, log and API.

mod action;
mod fault;
mod jar;
mod reading;
mod vessel;
mod wash;

use quantities::RunTime;

pub use action::{ACTION_COLUMNS, ACTIONS, ActionRow};
pub use fault::RowFault;
pub(crate) use fault::{check_note, optional, required, short, shown};
pub(crate) use jar::check_number;
pub use jar::{JAR_COLUMNS, JAR_COLUMNS_WITHOUT_INSTRUMENT, JarRow};
pub use reading::{READING_COLUMNS, ReadingRow};
pub use wash::{WashAct, WashFloat, WashReading};

/// Longest run a row can belong to, s: a fortnight.
pub const TIME_S_MAX: f64 = RunTime::HIGH;

/// Checks a run time.
///
/// # Errors
/// [`RowFault`] outside 0 to a fortnight, and for NaN.
pub fn check_time(column: &'static str, time_s: f64) -> Result<(), RowFault> {
    required(column, time_s, 0.0, TIME_S_MAX, "s", "seconds from heater on")
}
