//! The broker of `feeds.toml`: how one connects to it, and what it is told of runs.

mod connect;

pub(crate) use connect::{Task, options, words};
