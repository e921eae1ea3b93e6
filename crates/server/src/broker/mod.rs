//! The broker of `feeds.toml`: how one connects to it, and what it is told of runs.

mod connect;
mod discovery;
mod tell;
mod told;

pub(crate) use connect::{Task, options, words};
pub(crate) use tell::{known, tell};
