//! What must hold in every second of a run that is attended, whatever happens in it.

mod rules;
mod run;
mod watch;

pub use run::{Report, recorded, rehearsed};
pub use watch::{Broken, Count};
