//! Run time: seconds since the heater went on, the only clock the core knows.

use crate::check::quantity;

quantity! {
    /// Seconds of run time; a run lasts at most a fortnight.
    RunTime, "run time", "s", from_seconds, seconds, 0.0, RunTime::SECONDS_MAX as f64
}

impl RunTime {
    /// The last whole second that a run can have: a fortnight.
    pub const SECONDS_MAX: u64 = 1_209_600;
}
