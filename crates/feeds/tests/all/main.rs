//! Feeds from text to row: the file, its refusals, what can come from a source, who speaks.

mod desk;
mod file;
mod no_panic;
