//! The jars as they were gauged and cut, before anything is printed.

use finishing::cuts::{Charged, Cuts};
use finishing::nose::Glass;

use super::read::Bench;

/// All that is said of the jars.
pub(super) struct Told {
    pub(super) bench: Bench,
    pub(super) cuts: Cuts,
    pub(super) next: Option<Charged>,
    pub(super) glasses: Vec<Glass>,
}
