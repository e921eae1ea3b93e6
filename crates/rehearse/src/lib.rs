//! A rehearsal: the rows of a simulated still with noisy probes and, where asked for, of a stand-in
//! who attends it.
//!
//! The run begins at heater on. A stand-in presses it: second 0 brings the rows `heater` and
//! `step heat`. Without one the still stays cold until a person records the heater. Probes are read
//! every ten seconds. Everything comes from the seed, so the same seed gives the same run; values
//! are rounded as files hold them, so that a replay of the exported rows sees the same numbers.

mod bench;
mod chance;
mod drive;
mod error;
mod in_column;
mod manner;
mod probes;
mod rehearsal;
mod scale;
mod stand_in;

pub use drive::{Attended, Second, attend, rehearse, rehearse_as, rehearse_how};
pub use error::RehearseError;
pub use manner::Manner;
pub use rehearsal::Rehearsal;
