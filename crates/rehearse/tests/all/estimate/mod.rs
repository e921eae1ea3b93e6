//! What is known at a moment of a run, against rehearsals whose end is known.

mod faults;
mod learned;
mod lossy;
mod outlook;
mod recorded;
mod ten;
mod warm;
