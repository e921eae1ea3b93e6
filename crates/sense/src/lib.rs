//! What a row of a run is: readings of the probes, acts of the person, records of jars, their order.
//!
//! Pure: run time is an argument, nothing here reads a clock, a file or a random source.

mod begin;
mod input;
mod rows;

pub use begin::acts_of_begin;
pub use input::{Action, JarRecord, Reading};
pub use rows::{Cursor, RecordedRun, Row, SecondRows};
