//! Run time: seconds since the heater went on, the only clock the core knows.

use crate::check::quantity;

quantity! {
    /// Seconds of run time; a run lasts at most a fortnight.
    RunTime, "run time", "s", from_seconds, seconds, 0.0, 1_209_600.0
}
