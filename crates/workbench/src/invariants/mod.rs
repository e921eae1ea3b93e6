//! What must hold in every second of a run that is attended, whatever happens in it.

mod rules;
mod watch;

pub use watch::{Broken, Count, Watch};
