//! The routes, one file per part of the API.

pub(crate) mod access;
pub(crate) mod account;
pub(crate) mod account_book;
pub(crate) mod account_entry;
pub(crate) mod acts;
pub(crate) mod alarms;
pub(crate) mod attending;
pub(crate) mod bench;
pub(crate) mod entering;
pub(crate) mod events;
pub(crate) mod feeds;
pub(crate) mod finishing;
pub(crate) mod fit;
pub(crate) mod instruments;
pub(crate) mod log;
pub(crate) mod metrics;
pub(crate) mod plan;
pub(crate) mod plans;
pub(crate) mod record;
pub(crate) mod runs;
pub(crate) mod server;
pub(crate) mod stills;
pub(crate) mod treating;
pub(crate) mod upkeep;
pub(crate) mod wash_acts;
pub(crate) mod washes;
