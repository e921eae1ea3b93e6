//! What is known at a moment of a run, against rehearsals whose end is known.

mod faults;
mod in_column;
mod learned;
mod lossy;
mod outlook;
mod recorded;
mod ten;
mod warm;
