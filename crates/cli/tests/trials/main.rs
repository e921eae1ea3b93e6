//! Trials from outside: the release program as a server process, asked over HTTP, on a real clock.
//!
//! `cargo xtask trials` runs them and prints what they measured. Each begins where it matters: the
//! hours before are those of a rehearsed still, told to the server as what happened before it was
//! asked.

#![expect(clippy::print_stdout, reason = "what was measured is told as it comes")]

mod clock;
mod feeders;
mod feeds;
mod figures;
mod head_off;
mod kills;
mod past;
mod power_cut;
mod rehearsals;
mod restart;
mod run;

#[path = "../../../still/tests/drawn/mod.rs"]
mod drawn;
#[path = "../rig/mod.rs"]
mod rig;
#[path = "../served/mod.rs"]
mod served;
