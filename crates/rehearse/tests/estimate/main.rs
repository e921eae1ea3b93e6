//! What is known at a moment of a run, against rehearsals whose end is known.

#[path = "../common/mod.rs"]
mod common;
mod faults;
mod learned;
mod outlook;
mod recorded;
mod warm;
