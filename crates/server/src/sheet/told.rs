//! What a sheet is made of.

use advise::AlarmReview;
use store::RecordHead;

use crate::wire::run::RunWire;

/// What the sheet tells.
#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) run: RunWire,
    pub(crate) alarms: AlarmReview,
    /// How the record stood.
    pub(crate) head: RecordHead,
    /// When it was printed, in the zone of the run.
    pub(crate) printed: String,
}
