//! The record and the run folders: kept, changed, broken and brought back.

mod amend;
mod anchor;
mod book;
mod book_ahead;
mod common;
mod crash;
mod examples;
mod folder_refusals;
mod folder_round_trip;
mod loss;
mod record;
mod stills;
mod tamper;
mod washes;
