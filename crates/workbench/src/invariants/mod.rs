//! What must hold in every second of a run that is attended, whatever happens in it.

mod report;
mod rules;
mod run;
mod watch;

pub use report::{Broken, Count, Report};
pub use run::{recorded, rehearsed};
